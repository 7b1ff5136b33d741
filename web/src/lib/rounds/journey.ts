/** The way of each machine through a plan: where it starts, whom it visits in which order, who helps. Pure. */
import type { Plan, PlannedPlace, PlannedRound } from '$lib/api/types';

export interface Stop {
	/** 1 for the first. */
	number: number;
	/** Which of the round's places; nothing for one that is not there any more. */
	at: number | undefined;
	/** Where a lent tractor comes from. */
	helperFrom: number | undefined;
	place: PlannedPlace;
}
export interface Journey {
	machineId: string;
	name: string;
	/** Where it is kept, or the depot it comes from. */
	depot: number | undefined;
	stops: Stop[];
	/** Road back to where it is kept, km; nothing where others bring and collect it. */
	homeKm: number | undefined;
	/** Road of the machine, and of lent tractors, km. */
	towedKm: number;
	helpedKm: number;
}

const found = (at: number) => (at < 0 ? undefined : at);

/** The journeys of a plan's machines, in the order in which they set out. */
export function journeysOf(
	{ places: planned }: Pick<Plan, 'places'>,
	places: PlannedRound['places']
): Journey[] {
	const ground = (id: string | null) =>
		id === null ? undefined : found(places.findIndex((place) => place.ground_id === id));
	const machines = [...new Set(planned.map((place) => place.machine_id))];
	return machines.map((machineId) => {
		const of = planned.filter((place) => place.machine_id === machineId);
		const homeKm = of.at(-1)?.home_km ?? undefined;
		const sum = (km: (place: PlannedPlace) => number) => of.reduce((total, place) => total + km(place), 0);
		return {
			machineId,
			name: of[0]?.machine_name ?? '',
			depot: found(places.findIndex((place) => place.machine_ids.includes(machineId))),
			stops: of.map((place, at) => ({
				number: at + 1,
				at: ground(place.ground_id),
				helperFrom: ground(place.helper_ground_id),
				place
			})),
			homeKm,
			towedKm: sum((place) => place.haul_km) + (homeKm ?? 0),
			helpedKm: sum((place) => place.helper_km)
		};
	});
}

/** The stretches of a journey between places, by number; a place nobody knows breaks it. */
export function legsOf({ depot, stops, homeKm }: Journey): { from: number; to: number; towed: boolean }[] {
	const towed = homeKm !== undefined;
	const way = [
		{ at: depot, towed },
		...stops.map((stop, at) => ({ at: stop.at, towed: at > 0 || towed })),
		{ at: depot, towed }
	];
	return way.slice(1).flatMap((end, at) => {
		const from = way[at]?.at;
		return from === undefined || end.at === undefined || from === end.at
			? []
			: [{ from, to: end.at, towed: end.towed }];
	});
}

export interface Mark {
	/** Which of the round's places. */
	at: number;
	/** Which machine, from 0; −1 for a depot, −2 for where a lent tractor comes from. */
	machine: number;
	/** When the machine is there, "2" or "2, 5". */
	numbers: string;
	name: string;
}
export const DEPOT = -1;
export const TRACTOR = -2;

/** What stands at each place: the numbers of a machine's stops, a depot, the home of a tractor that nothing else marks. */
export function marksOf(journeys: Journey[], places: PlannedRound['places']): Mark[] {
	const stops = journeys.flatMap(({ stops: all }, machine) =>
		[...new Set(all.map((stop) => stop.at))].map((at) => {
			const here = all.filter((stop) => stop.at === at);
			const numbers = here.map((stop) => stop.number).join(', ');
			return { at, machine, numbers, name: here[0]?.place.club_name ?? '' };
		})
	);
	const depots = [...new Set(journeys.map((journey) => journey.depot))].map((at) => {
		const place = places[at ?? -1];
		const name = place?.ground_id === null ? 'Depot' : (place?.name ?? '');
		return { at, machine: DEPOT, numbers: '', name };
	});
	const lent = journeys
		.flatMap((journey) => journey.stops)
		.map(({ helperFrom, place }) => ({
			at: helperFrom,
			machine: TRACTOR,
			numbers: '',
			name: place.crew_club_name
		}))
		.filter(
			(one, number, all) =>
				!stops.some((stop) => stop.at === one.at) && all.findIndex(({ at }) => at === one.at) === number
		);
	return [...stops, ...depots, ...lent].flatMap((mark) =>
		mark.at === undefined ? [] : [{ ...mark, at: mark.at }]
	);
}
