import { describe, expect, it } from 'vitest';
import type { PlaceThen, Plan, Replan } from '$lib/api/types';
import { answerOf, priceOf, tellsWords } from './words';

const place: PlaceThen = {
	club_name: 'Alder',
	ground_name: 'Top',
	machine_name: 'Aerator',
	span: { from: '2027-05-04T00:00:00', until: '2027-05-04T12:00:00' },
	comes_from: null,
	goes_to: null
};
const plan = (over: Partial<Plan>) =>
	({ state: 'ready', is_stale: false, levels: [], ...over }) as unknown as Plan;
const replan = (over: Partial<Replan>): Replan => ({
	round_id: 'r',
	title: 'May',
	state: 'agreed',
	on_closed_days: [],
	plan: null,
	stands: [],
	sentence: null,
	changes: [],
	tells: [],
	...over
});

describe('re-plans in words', () => {
	it('answers whether anything has to be planned again', () => {
		expect(answerOf(replan({}))).toMatch(/^Every place lies on open ground/);
		expect(answerOf(replan({ on_closed_days: [place] }))).toBe(
			'1 place lies on days on which the ground is closed: plan the round again.'
		);
		expect(answerOf(replan({ plan: plan({}), sentence: 'One club moves.' }))).toBe('One club moves.');
		expect(answerOf(replan({ plan: plan({ is_stale: true }), sentence: 'One club moves.' }))).toMatch(
			/once more/
		);
		expect(answerOf(replan({ plan: plan({ state: 'chosen' }) }))).toMatch(/in force/);
		expect(answerOf(replan({ state: 'called_off' }))).toMatch(/not agreed/);
	});
	it('says the price in every level', () => {
		const levels = [
			{ level: 'kept_weight' as const, value: 90, bound: 90 },
			{ level: 'haul' as const, value: 124, bound: 124 }
		];
		const stands = [
			{ level: 'kept_weight' as const, value: 90, bound: 90 },
			{ level: 'haul' as const, value: 100, bound: 100 }
		];
		expect(priceOf({ plan: plan({ levels }), stands })).toEqual([
			{ level: 'kept_weight', words: 'weight of confirmed places kept', now: '90', then: '90', same: true },
			{ level: 'haul', words: 'road', now: '10 km', then: '12.4 km', same: false }
		]);
	});
	it('names who is mailed', () => {
		expect(tellsWords(['Alder', 'Birch', 'Cedar'])).toBe('Alder, Birch and Cedar are mailed.');
		expect(tellsWords(['Alder'])).toBe('Alder is mailed.');
		expect(tellsWords([])).toBe('No club is mailed.');
	});
});
