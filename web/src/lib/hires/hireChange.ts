/** What a change of a hire does to those who asked, said before it is saved. Pure. */
import type { Hire, HireFacts, Round, RoundRequest, Span } from '$lib/api/types';
import { dateOf, dayNumber, halfDayAt, type HalfDay } from '$lib/time/halfdays';
import { halvesOf } from './allowed';

/** The half-days of a round's machines when one hire has other dates; an owned machine is there from first to last. */
export function offeredAfter(round: Round, hireId: string, span: Span): HalfDay[] {
	const hired = round.hires.map((hire) => (hire.hire_id === hireId ? span : hire.span));
	const owned = round.machines.some((machine) => machine.hire_id === null);
	if (!owned || hired.length === 0) return halvesOf(hired);
	const halves = halvesOf(hired);
	const first = Math.floor((halves[0] ?? 0) / 2);
	const last = Math.floor((halves.at(-1) ?? 0) / 2);
	return halvesOf([{ from: `${dateOf(first)}T00:00:00`, until: `${dateOf(last + 1)}T00:00:00` }]);
}

/** Who loses half-days, and who has none left. */
export function losers(requests: RoundRequest[], offered: HalfDay[]): { all: string[]; some: string[] } {
	const there = new Set(offered);
	const kept = (request: RoundRequest) => request.half_days.filter((at) => there.has(halfDayAt(at))).length;
	const named = (found: RoundRequest[]) => found.map((request) => request.club_name);
	return {
		all: named(requests.filter((request) => kept(request) === 0)),
		some: named(requests.filter((request) => kept(request) > 0 && kept(request) < request.half_days.length))
	};
}

/** What is different, as far as others feel it. */
export function differences(
	before: Hire,
	after: HireFacts
): { dates: boolean; road: boolean; charges: boolean } {
	const charged = [
		'per_week_pence',
		'per_day_pence',
		'per_half_day_pence',
		'per_ha_pence',
		'delivery_pence',
		'collection_pence',
		'fuel_pence_per_hour',
		'haul_pence_per_km'
	] as const;
	return {
		dates: before.span.from !== after.span.from || before.span.until !== after.span.until,
		road:
			before.hauled_by !== after.hauled_by ||
			before.depot_latitude_deg !== after.depot_latitude_deg ||
			before.depot_longitude_deg !== after.depot_longitude_deg,
		charges: charged.some((name) => before[name] !== after[name])
	};
}

/** "Ashby RFC, Wick RFC and Marl End RFC". */
export function namesWords(names: string[]): string {
	return names.length < 2 ? (names[0] ?? '') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

/** What the change will do, a sentence each; nothing where nobody feels it. */
export function effects(round: Round, requests: RoundRequest[], before: Hire, after: HireFacts): string[] {
	const different = differences(before, after);
	const said = [];
	if (different.dates) {
		const { all, some } = losers(requests, offeredAfter(round, before.hire_id, after.span));
		if (all.length > 0)
			said.push(`${namesWords(all)}: none of the half-days allowed would be left, so no place.`);
		if (some.length > 0) said.push(`${namesWords(some)}: some of the half-days allowed fall away.`);
		if (all.length + some.length === 0) said.push('Nobody who asked loses a half-day.');
		if (requests.length > 0) said.push('The clubs that asked are told by mail.');
		const days = dayNumber(after.span.until) - dayNumber(after.span.from);
		if (days > 0) said.push('What the hire costs for its time changes with its length.');
	}
	if (different.road) said.push('The road to the first and from the last club is another.');
	if (different.dates || different.road) said.push('Plans made before are out of date.');
	if (different.charges)
		said.push('Each club’s share of the cost is reckoned anew; what was entered already stays.');
	return said;
}
