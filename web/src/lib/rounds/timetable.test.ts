import { describe, expect, it } from 'vitest';
import type { Plan, PlannedPlace, Round } from '$lib/api/types';
import { halfDayAt } from '$lib/time/halfdays';
import { pause } from './looking';
import { beginsAt, groupsOf, namesOf, stretchesOf } from './timetable';

const place = (id: string, machine: string) =>
	({
		request_id: id,
		club_id: id,
		club_name: id.toUpperCase(),
		machine_id: machine,
		span: { from: '2027-05-04T00:00:00', until: '2027-05-05T12:00:00' }
	}) as PlannedPlace;
const plan = {
	places: [place('a', 'one'), place('b', 'two')],
	left_out: [{ request_id: 'c', club_id: 'c', club_name: 'C' }]
} as Plan;
const machines = [
	{ machine_id: 'one', name: 'One' },
	{ machine_id: 'two', name: 'Two' }
] as Round['machines'];
const shape = (groups: ReturnType<typeof groupsOf>) =>
	groups.map(({ title, rows }) => [title, rows.map((row) => row.clubName).join(' ')]);

describe('the rows of a timetable', () => {
	it('stand by machine, then those without a place', () => {
		expect(shape(groupsOf(plan, machines, ''))).toEqual([
			['One', 'A'],
			['Two', 'B'],
			['Without a place', 'C']
		]);
		const lone = { ...plan, places: [place('a', 'one')], left_out: [] };
		expect(shape(groupsOf(lone, machines.slice(0, 1), 'a'))).toEqual([['', 'A']]);
	});

	it('offer every other machine to a club that is taken up', () => {
		expect(shape(groupsOf(plan, machines, 'a'))).toEqual([
			['One', 'A'],
			['Two', 'B A'],
			['Without a place', 'C']
		]);
		expect(shape(groupsOf(plan, machines, 'c')).slice(0, 2)).toEqual([
			['One', 'A C'],
			['Two', 'B C']
		]);
	});

	it('tell grounds of one club apart', () => {
		const twice = [
			{ ...place('a', 'one'), club_id: 'x', club_name: 'X', ground_name: 'Lane' },
			{ ...place('b', 'one'), club_id: 'x', club_name: 'X', ground_name: 'Field' },
			place('c', 'one')
		];
		const names = namesOf({ places: twice, left_out: [] });
		expect([...names.values()]).toEqual(['X, Lane', 'X, Field', 'C']);
	});

	it('have a cell for each half-day, the place as one', () => {
		const first = halfDayAt('2027-05-03T00:00:00');
		const { before, taken, after } = stretchesOf(place('a', 'one'), first, 14);
		expect([before.length, taken, after.length]).toEqual([2, 3, 9]);
		expect(after[0]).toBe(halfDayAt('2027-05-05T12:00:00'));
		expect(stretchesOf(undefined, first, 14).before).toHaveLength(14);
	});

	it('begin in the morning where clubs are placed by days', () => {
		const afternoon = halfDayAt('2027-05-04T12:00:00');
		expect([beginsAt(afternoon, 'days'), beginsAt(afternoon, 'half_days')]).toEqual([
			afternoon - 1,
			afternoon
		]);
	});
});

describe('asking how far a plan is', () => {
	it('is done less and less often', () => {
		expect([0, 30_000, 600_000].map(pause)).toEqual([1500, 4000, 15_000]);
	});
});
