import type { HireCosts } from '$lib/api/types';
import { describe, expect, it } from 'vitest';
import {
	costsAnswer,
	hectareWords,
	hoursFrom,
	roundAnswer,
	shareFormula,
	workWords,
	type ShareRow
} from './words';

const costs = {
	machine_name: 'Aerator',
	clubs: 4,
	worth_it: true,
	shortfall_pence: 0,
	alone_pence: 140_592,
	total_pence: 112_790,
	bill: { total_pence: 112_790 },
	parts: [],
	entered: null
} as unknown as HireCosts;

const row: ShareRow = {
	club_id: 'a',
	club_name: 'Ashby',
	half_days: 2,
	work_min: 193,
	signed_min: 0,
	area_m2: 7_700,
	alone_pence: 35_148,
	share_pence: 28_198,
	helper_pence: 0,
	owes_pence: 28_198
};
const parts = [{ ...row, alone: { total_pence: 35_148 } }];
const own = { ...costs, parts } as unknown as HireCosts;
const entered = (changes: object) =>
	({
		...own,
		entered: {
			total_pence: 112_790,
			alone_pence: 140_592,
			fund_pence: 0,
			settled_at: null,
			rule: 'equal_discount',
			shares: [row],
			...changes
		}
	}) as unknown as HireCosts;

describe('the costs of a hire', () => {
	it('says that nobody pays more than alone', () => {
		expect(costsAnswer(costs)).toBe(
			'No club pays more than alone: Aerator costs £1,127.90 together instead of £1,405.92.'
		);
	});
	it('says by how much an empty hire is too dear, and the two ways out', () => {
		const empty = { ...costs, worth_it: false, shortfall_pence: 39_599 };
		expect(costsAnswer(empty)).toBe(
			'Aerator costs £395.99 more than its clubs would pay alone: drop the hire, or let the network’s fund carry that.'
		);
	});
	it('says that there is nothing to share', () => {
		expect(costsAnswer({ ...costs, clubs: 0 })).toContain('nothing to share');
	});
	it('says first what it costs the own club', () => {
		expect(costsAnswer(own, ['a'])).toBe(
			'Ashby would pay £281.98 for Aerator, £69.50 less than alone; no club pays more than alone.'
		);
		expect(costsAnswer(entered({}), ['a'])).toContain('Ashby owes £281.98');
		expect(costsAnswer(entered({ settled_at: '2027-06-01T10:00:00Z' }), ['a'])).toContain(
			'Ashby paid £281.98'
		);
		expect(costsAnswer(entered({ fund_pence: 500 }), ['a'])).toContain('the network’s fund carries £5.00.');
	});
	it('adds several hires up, and says which is too empty', () => {
		const empty = { ...own, machine_name: 'Seeder', worth_it: false, shortfall_pence: 1 };
		expect(roundAnswer([own, empty], ['a'])).toBe(
			'Ashby would pay £563.96 for 2 hires together; Seeder would be too empty.'
		);
		expect(roundAnswer([], ['a'])).toContain('Nothing is hired');
	});
});

describe('a share', () => {
	it('tells its sum to the fraction of a penny and which way it was rounded', () => {
		expect(shareFormula(own, row)).toBe('£1,127.90 × £351.48 ÷ £1,405.92 = £281.9750, rounded up to £281.98');
		const even = { ...row, share_pence: 28_197 };
		expect(shareFormula(own, even)).toContain('rounded down to £281.97');
		expect(shareFormula({ ...own, total_pence: 112_792 }, row)).toMatch(/= £281\.98$/);
	});
	it('tells hours where they were the rule, and that an empty hire is paid as alone', () => {
		const byHours = entered({ rule: 'by_hours' });
		expect(shareFormula({ ...byHours, clubs: 1 }, row)).toContain('× 193 min ÷ 193 min');
		expect(shareFormula(byHours, row)).toContain('by its 3 h 13 min of work');
		expect(shareFormula({ ...own, shortfall_pence: 1 }, row)).toContain('as much as alone');
	});
});

describe('figures', () => {
	it('are read as people read them', () => {
		expect(workWords(193)).toBe('3 h 13 min');
		expect(hectareWords(7_700)).toBe('0.77 ha');
		expect(hoursFrom({ work_min: 193, signed_min: 0 })).toBe('reckoned');
		expect(hoursFrom({ work_min: 193, signed_min: 193 })).toBe('by the hour meter');
		expect(hoursFrom({ work_min: 193, signed_min: 60 })).toContain('1 h 00 min of it by the hour meter');
	});
});
