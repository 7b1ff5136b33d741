/** A hire and its round as typed, and as sent. Pure. */
import type { FieldFault } from '$lib/api/error';
import type { Hire, HireFacts, Round, RoundTerms, Span } from '$lib/api/types';
import { numberFrom, typedNumber } from '$lib/look/numbers';
import { penceFrom } from '$lib/money/money';
import { dayNumber } from '$lib/time/halfdays';
import { instantAt, wallClock } from '$lib/time/instants';

type MoneyName =
	| 'per_week_pence'
	| 'per_day_pence'
	| 'per_half_day_pence'
	| 'per_ha_pence'
	| 'delivery_pence'
	| 'collection_pence'
	| 'deposit_pence'
	| 'fuel_pence_per_hour'
	| 'haul_pence_per_km';

export interface MoneyBox {
	name: MoneyName;
	label: string;
}
/** What the supplier asks for the time; at least one is needed. */
export const timeBoxes: MoneyBox[] = [
	{ name: 'per_week_pence', label: 'For a week, £' },
	{ name: 'per_day_pence', label: 'For a day, £' },
	{ name: 'per_half_day_pence', label: 'For a half-day, £' },
	{ name: 'per_ha_pence', label: 'For a hectare worked, £' }
];
/** What else it costs; empty is nothing. */
export const otherBoxes: MoneyBox[] = [
	{ name: 'delivery_pence', label: 'Delivery, £' },
	{ name: 'collection_pence', label: 'Collection, £' },
	{ name: 'deposit_pence', label: 'Deposit, £' },
	{ name: 'fuel_pence_per_hour', label: 'Fuel for an hour of work, £' },
	{ name: 'haul_pence_per_km', label: 'Towing between clubs, £ a km' }
];

export interface HireTyped {
	supplier_id: string;
	machine_id: string;
	span: Span | undefined;
	money: Record<MoneyName, string>;
	hauled_by: Hire['hauled_by'];
	depot_latitude: string;
	depot_longitude: string;
	note: string;
}

/** A hire as it stands, or an empty one; a charge of nothing is an empty box where nothing is usual. */
export function typedHire(hire?: Hire): HireTyped {
	const pounds = (name: MoneyName) => {
		const pence = hire?.[name] ?? null;
		return pence === null || (pence === 0 && !timeBoxes.some((box) => box.name === name))
			? ''
			: (pence / 100).toFixed(2);
	};
	const money = Object.fromEntries(
		[...timeBoxes, ...otherBoxes].map(({ name }) => [name, pounds(name)])
	) as Record<MoneyName, string>;
	return {
		supplier_id: hire?.supplier_id ?? '',
		machine_id: hire?.machine_id ?? '',
		span: hire?.span,
		money,
		hauled_by: hire?.hauled_by ?? 'supplier',
		depot_latitude: typedNumber(hire?.depot_latitude_deg),
		depot_longitude: typedNumber(hire?.depot_longitude_deg),
		note: hire?.note ?? ''
	};
}

/** What is sent, or what has to be put right first; `at` is put before the names of fields. */
export function hireFrom(typed: HireTyped, at = ''): { facts: HireFacts; faults: FieldFault[] } {
	const faults: FieldFault[] = [];
	const fault = (field: string, detail: string) => faults.push({ field: `${at}${field}`, detail });
	if (!typed.machine_id) fault('machine_id', 'Which machine is hired?');
	if (!typed.supplier_id) fault('supplier_id', 'From which supplier?');
	if (!typed.span) fault('span', 'From when until when is it hired?');
	const money: Partial<Record<MoneyName, number | null>> = {};
	for (const { name, label } of [...timeBoxes, ...otherBoxes]) {
		const text = typed.money[name].trim();
		const pence = text === '' ? null : penceFrom(text);
		if (pence === undefined) fault(name, `${label}: write pounds and pence, such as 320.00.`);
		money[name] = pence ?? null;
	}
	if (timeBoxes.every(({ name }) => typed.money[name].trim() === ''))
		fault('per_week_pence', 'What does the supplier charge for a week, a day, a half-day or a hectare?');
	const latitude = numberFrom(typed.depot_latitude);
	const longitude = numberFrom(typed.depot_longitude);
	if (latitude === undefined)
		fault('depot_latitude_deg', 'Latitude of the yard: write degrees, such as 53.23.');
	if (longitude === undefined)
		fault('depot_longitude_deg', 'Longitude of the yard: write degrees, such as −0.94.');
	if (typed.hauled_by === 'clubs' && (latitude === null || longitude === null))
		fault('depot_latitude_deg', 'Where is the yard? Clubs drive there, so its position is needed.');
	const orNothing = (name: MoneyName) => money[name] ?? 0;
	const facts: HireFacts = {
		supplier_id: typed.supplier_id,
		machine_id: typed.machine_id,
		span: typed.span ?? { from: '', until: '' },
		per_week_pence: money.per_week_pence ?? null,
		per_day_pence: money.per_day_pence ?? null,
		per_half_day_pence: money.per_half_day_pence ?? null,
		per_ha_pence: money.per_ha_pence ?? null,
		delivery_pence: orNothing('delivery_pence'),
		collection_pence: orNothing('collection_pence'),
		deposit_pence: orNothing('deposit_pence'),
		fuel_pence_per_hour: orNothing('fuel_pence_per_hour'),
		haul_pence_per_km: orNothing('haul_pence_per_km'),
		hauled_by: typed.hauled_by,
		depot_latitude_deg: latitude ?? null,
		depot_longitude_deg: longitude ?? null,
		note: typed.note.trim()
	};
	return { facts, faults };
}

export interface RoundTyped {
	title: string;
	grain: Round['grain'];
	closes_on: string;
	closes_time: string;
	km_per_point: string;
	guarantee_after: string;
	note: string;
}

export function typedRound(round: Round | undefined, timeZone: string): RoundTyped {
	const closes = round && wallClock(new Date(round.requests_close_at), timeZone);
	return {
		title: round?.title ?? '',
		grain: round?.grain ?? 'half_days',
		closes_on: closes?.date ?? '',
		closes_time: closes?.time ?? '20:00',
		km_per_point: String((round?.hm_per_point ?? 50) / 10),
		guarantee_after: String(round?.guarantee_after ?? 2),
		note: round?.note ?? ''
	};
}

/** What is sent, or what has to be put right first; `firstDay` is the day the first machine comes. */
export function roundFrom(
	typed: RoundTyped,
	firstDay: string,
	timeZone: string
): { facts: RoundTerms; faults: FieldFault[] } {
	const faults: FieldFault[] = [];
	if (typed.title.trim() === '') faults.push({ field: 'title', detail: 'Give the round a title.' });
	if (!typed.closes_on || !typed.closes_time)
		faults.push({ field: 'requests_close_at', detail: 'Until when can clubs ask?' });
	else if (firstDay && dayNumber(typed.closes_on) > dayNumber(firstDay))
		faults.push({ field: 'requests_close_at', detail: 'Requests have to close before the hire begins.' });
	const km = numberFrom(typed.km_per_point);
	if (typeof km !== 'number' || km < 0.1 || km > 1000)
		faults.push({
			field: 'hm_per_point',
			detail: 'Worth of a wish point: write kilometres, from 0.1 to 1,000.'
		});
	const guarantee = numberFrom(typed.guarantee_after);
	if (typeof guarantee !== 'number' || !Number.isInteger(guarantee) || guarantee < 0 || guarantee > 10)
		faults.push({ field: 'guarantee_after', detail: 'Guarantee: write a whole number from 0 to 10.' });
	const facts: RoundTerms = {
		title: typed.title.trim(),
		requests_close_at: typed.closes_on
			? instantAt(typed.closes_on, typed.closes_time || '00:00', timeZone)
			: '',
		hm_per_point: Math.round((km ?? 0) * 10),
		guarantee_after: guarantee ?? 0,
		note: typed.note.trim()
	};
	return { facts, faults };
}
