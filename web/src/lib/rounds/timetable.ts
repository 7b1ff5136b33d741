/** The rows of a timetable: which club is in which cell of which machine. Pure. */
import type { Plan, PlannedPlace, Round } from '$lib/api/types';
import { halfDayAt, halfDaysIn, type HalfDay } from '$lib/time/halfdays';

export interface Row {
	key: string;
	requestId: string;
	clubName: string;
	/** The machine of the cells; empty for any. */
	machineId: string;
	/** Its place; nothing for a row in which it could be put. */
	place: PlannedPlace | undefined;
}
export interface Group {
	machineId: string;
	/** Its heading; empty where there is but one machine. */
	title: string;
	rows: Row[];
}

/** What to call each request of a plan: by its club, and by its ground too where the club has asked for several. */
export function namesOf({ places, left_out }: Pick<Plan, 'places' | 'left_out'>): Map<string, string> {
	const all = [...places, ...left_out];
	const several = (club: string) => all.filter((each) => each.club_id === club).length > 1;
	return new Map(
		all.map((each) => [
			each.request_id,
			several(each.club_id) ? `${each.club_name}, ${each.ground_name}` : each.club_name
		])
	);
}

/**
 * Rows by machine, as they are worked, then those without a place. A club that is being moved has a row with every
 * other machine too, to be put there.
 */
export function groupsOf(plan: Plan, machines: Round['machines'], moved: string): Group[] {
	const several = machines.length > 1;
	const names = namesOf(plan);
	const placed = (place: PlannedPlace, machineId: string): Row => ({
		key: place.request_id,
		requestId: place.request_id,
		clubName: names.get(place.request_id) ?? place.club_name,
		machineId,
		place
	});
	const name = names.get(moved);
	const groups = machines.map(({ machine_id, name: title }) => {
		const rows = plan.places
			.filter((place) => place.machine_id === machine_id)
			.map((place) => placed(place, machine_id));
		const elsewhere = several && name !== undefined && !rows.some((row) => row.requestId === moved);
		const guest: Row = {
			key: `${machine_id} ${moved}`,
			requestId: moved,
			clubName: name ?? '',
			machineId: machine_id,
			place: undefined
		};
		return {
			machineId: machine_id,
			title: several ? title : '',
			rows: elsewhere ? [...rows, guest] : rows
		};
	});
	const without: Row[] = plan.left_out.map((left) => ({
		key: left.request_id,
		requestId: left.request_id,
		clubName: names.get(left.request_id) ?? left.club_name,
		machineId: '',
		place: undefined
	}));
	return without.length === 0
		? groups
		: [...groups, { machineId: '', title: 'Without a place', rows: without }];
}

/** The stretches of a row: empty before, the place, empty after, in half-days from the first of `count`. */
export function stretchesOf(place: PlannedPlace | undefined, first: HalfDay, count: number) {
	const range = (from: number, until: number) =>
		Array.from({ length: Math.max(until - from, 0) }, (_none, at) => first + from + at);
	if (!place) return { before: range(0, count), taken: 0, after: [] };
	const before = halfDayAt(place.span.from) - first;
	const taken = halfDaysIn(place.span);
	return { before: range(0, before), taken, after: range(before + taken, count) };
}

/** Where a place may begin: by half-days anywhere, by days in the morning. */
export function beginsAt(half: HalfDay, grain: Round['grain']): HalfDay {
	return grain === 'days' ? half - (half % 2) : half;
}
