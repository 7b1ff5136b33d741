/** Roads between grounds, in kilometres as people write them and in hectometres as they are kept. Pure. */
import type { DepotRoad, Road } from '$lib/api/types';
import { numberFrom } from '$lib/look/numbers';
import { plainNumber } from '$lib/money/amounts';

/** A road as a line of a table. */
export interface RoadLine {
	key: string;
	from: string;
	fromWhose: string;
	to: string;
	toWhose: string;
	reckonedHm: number;
	correctedHm: number | null;
}

export function lineOf(road: Road): RoadLine {
	return {
		key: `${road.from.ground_id}-${road.to.ground_id}`,
		from: road.from.ground_name,
		fromWhose: road.from.club_name,
		to: road.to.ground_name,
		toWhose: road.to.club_name,
		reckonedHm: road.reckoned_hm,
		correctedHm: road.corrected_hm
	};
}

export function depotLineOf(road: DepotRoad): RoadLine {
	return {
		key: `${road.hire_id}-${road.to.ground_id}`,
		from: `Yard of ${road.supplier_name}`,
		fromWhose: road.machine_name,
		to: road.to.ground_name,
		toWhose: road.to.club_name,
		reckonedHm: road.reckoned_hm,
		correctedHm: road.corrected_hm
	};
}

const MOST_HM = 20_000;

/** "12.4 km" of 124 hectometres. */
export function kmWords(hm: number): string {
	return `${plainNumber(hm / 10, 1)} km`;
}

/** Whole hectometres of typed kilometres; undefined for what is no length of a road. */
export function hectometresFrom(typed: string): number | undefined {
	const km = numberFrom(typed);
	if (typeof km !== 'number' || km < 0) return undefined;
	const hm = Math.round(km * 10);
	return hm <= MOST_HM ? hm : undefined;
}

/** The grounds at the ends of some roads, by club and name, each once. */
export function endsOf(roads: Road[]): Road['from'][] {
	const ends: Record<string, Road['from']> = {};
	for (const end of roads.flatMap((road) => [road.from, road.to])) ends[end.ground_id] ??= end;
	return Object.values(ends).sort(
		(a, b) =>
			a.club_name.localeCompare(b.club_name, 'en-GB') || a.ground_name.localeCompare(b.ground_name, 'en-GB')
	);
}

/** How many are put right already, in one sentence. */
export function roadsAnswer(roads: Pick<Road, 'corrected_hm'>[]): string {
	const corrected = roads.filter((road) => road.corrected_hm !== null).length;
	if (roads.length === 0) return 'There is no road to drive yet.';
	if (corrected === 0) return 'Every road is reckoned from the map; none has been put right.';
	return corrected === 1
		? 'One road is put right; the others are reckoned.'
		: `${corrected} roads are put right; the others are reckoned.`;
}
