import { describe, expect, it } from 'vitest';
import type { PlannedPlace, PlannedRound } from '$lib/api/types';
import { journeysOf, legsOf, marksOf } from './journey';

const place = (ground: string | null, machines: string[] = []): PlannedRound['places'][number] => ({
	ground_id: ground,
	machine_ids: machines,
	name: ground ?? 'The depot',
	latitude_deg: 54,
	longitude_deg: -1
});
const planned = (ground: string, machine: string, more: Partial<PlannedPlace> = {}) =>
	({
		ground_id: ground,
		machine_id: machine,
		machine_name: `The ${machine}`,
		haul_km: 10,
		helper_km: 0,
		helper_ground_id: null,
		home_km: null,
		...more
	}) as PlannedPlace;

describe('the journey of a machine', () => {
	const places = [place('a'), place('b'), place('c'), place(null, ['one']), place('yard', ['two', 'three'])];

	it('goes from where it is kept to each club in order and back, with the road of all', () => {
		const [one] = journeysOf(
			{
				places: [
					planned('b', 'one'),
					planned('a', 'one', { helper_km: 8, helper_ground_id: 'c', home_km: 12.5 })
				]
			},
			places
		);
		expect(one).toMatchObject({ name: 'The one', depot: 3, towedKm: 32.5, helpedKm: 8, homeKm: 12.5 });
		expect(one?.stops.map(({ number, at, helperFrom }) => [number, at, helperFrom])).toEqual([
			[1, 1, undefined],
			[2, 0, 2]
		]);
		expect(legsOf(one!).map(({ from, to }) => [from, to])).toEqual([
			[3, 1],
			[1, 0],
			[0, 3]
		]);
	});

	it('is only towed between clubs where the supplier brings and collects it', () => {
		const [one] = journeysOf({ places: [planned('b', 'one'), planned('a', 'one')] }, places);
		expect(legsOf(one!).map((leg) => leg.towed)).toEqual([false, true, false]);
	});

	it('finds a yard that two machines share, and stays where two requests are at one ground', () => {
		const [two, three] = journeysOf(
			{
				places: [
					planned('a', 'two'),
					planned('b', 'three', { home_km: 1 }),
					planned('a', 'two', { home_km: 1 })
				]
			},
			places
		);
		expect([two?.depot, three?.depot]).toEqual([4, 4]);
		expect(legsOf(two!).map(({ from, to }) => [from, to])).toEqual([
			[4, 0],
			[0, 4]
		]);
	});

	it('leaves out a ground that is gone', () => {
		const [one] = journeysOf(
			{ places: [planned('gone', 'one'), planned('a', 'one', { home_km: 1 })] },
			places
		);
		expect(one?.stops[0]?.at).toBeUndefined();
		expect(legsOf(one!)).toHaveLength(1);
	});

	it('marks each place once for a machine, depots, and the homes of tractors that nothing else marks', () => {
		const lent = { helper_km: 8, crew_club_name: 'Cedar' };
		const journeys = journeysOf(
			{
				places: [
					planned('a', 'two', { club_name: 'Alder', ...lent, helper_ground_id: 'c' }),
					planned('b', 'two', { club_name: 'Birch', ...lent, helper_ground_id: 'a' }),
					planned('a', 'two', { club_name: 'Alder', ...lent, helper_ground_id: 'c' })
				]
			},
			places
		);
		expect(marksOf(journeys, places)).toEqual([
			{ at: 0, machine: 0, numbers: '1, 3', name: 'Alder' },
			{ at: 1, machine: 0, numbers: '2', name: 'Birch' },
			{ at: 4, machine: -1, numbers: '', name: 'yard' },
			{ at: 2, machine: -2, numbers: '', name: 'Cedar' }
		]);
	});
});
