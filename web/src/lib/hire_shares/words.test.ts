import type { HireCosts, MachineWorth } from '$lib/api/types';
import { describe, expect, it } from 'vitest';
import { costsAnswer, hectareWords, worthCsv, workWords } from './words';

const costs = {
	machine_name: 'Aerator',
	clubs: 4,
	worth_it: true,
	shortfall_pence: 0,
	alone_pence: 140_592,
	bill: { total_pence: 112_790 },
	entered: null
} as HireCosts;

describe('the costs of a hire', () => {
	it('says that nobody pays more than alone', () => {
		expect(costsAnswer(costs)).toBe('No club pays more than alone: £1,127.90 together instead of £1,405.92.');
	});
	it('says by how much an empty hire is too dear', () => {
		expect(costsAnswer({ ...costs, worth_it: false, shortfall_pence: 39_599 })).toContain('£395.99 more');
	});
	it('says that there is nothing to share', () => {
		expect(costsAnswer({ ...costs, clubs: 0 })).toContain('nothing to share');
	});
});

describe('figures', () => {
	it('are read as people read them', () => {
		expect(workWords(193)).toBe('3 h 13 min');
		expect(hectareWords(7_700)).toBe('0.77 ha');
	});
	it('go into a file with quotes doubled and money in pounds', () => {
		const use = {
			bookings: 1,
			half_days: 2,
			work_min: 193,
			area_m2: 7_700,
			pence: 28_198,
			pence_per_ha: 36_621
		};
		const club = { ...use, club_id: 'c', club_name: 'The "Old" RFC', pence: null, pence_per_ha: null };
		const lines = worthCsv({ clubs: [club], total: use } as unknown as MachineWorth).split('\r\n');
		expect(lines[1]).toBe('"The ""Old"" RFC",1,2,3.22,0.7700,,');
		expect(lines[2]).toBe('"All clubs",1,2,3.22,0.7700,281.98,366.21');
	});
});
