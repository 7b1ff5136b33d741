import type { MachineWorth } from '$lib/api/types';
import { describe, expect, it } from 'vitest';
import { seasonWords, worthAnswer, worthCsv } from './worth';

const use = {
	bookings: 1,
	half_days: 2,
	work_min: 193,
	signed_min: 60,
	area_m2: 7_700,
	pence: 28_198,
	pence_per_ha: 36_621
};
const worth = {
	machine_name: 'Aerator',
	season: 2099,
	total: use,
	clubs: [{ ...use, club_id: 'c', club_name: 'The "Old" RFC', pence: null, pence_per_ha: null }],
	days_offered: 7,
	days_idle: 3
} as unknown as MachineWorth;

describe('a season', () => {
	it('is named by the years it lies in', () => {
		expect(seasonWords(2026)).toBe('2026/27');
		expect(seasonWords(2099)).toBe('2099/00');
	});
	it('is told in one sentence', () => {
		expect(worthAnswer(worth)).toBe(
			'Aerator worked 3 h 13 min on 0.77 ha in 2099/00, at £366.21 a hectare; it stood on 3 of 7 days.'
		);
		expect(worthAnswer({ ...worth, total: { ...use, bookings: 0 } })).toBe('Nobody had Aerator in 2099/00.');
	});
	it('goes into a file with quotes doubled and money in pounds', () => {
		const lines = worthCsv(worth).split('\r\n');
		expect(lines[1]).toBe('"The ""Old"" RFC",1,2,3.22,1.00,0.7700,,');
		expect(lines[2]).toBe('"All clubs",1,2,3.22,1.00,0.7700,281.98,366.21');
	});
});
