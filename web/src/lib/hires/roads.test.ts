import { describe, expect, test } from 'vitest';
import type { Road } from '$lib/api/types';
import { depotLineOf, endsOf, hectometresFrom, kmWords, lineOf, roadsAnswer } from './roads';

const end = (name: string) => ({ ground_id: name, ground_name: name, club_id: name, club_name: name });
const road = (from: string, to: string, corrected_hm: number | null): Road => ({
	from: end(from),
	to: end(to),
	reckoned_hm: 100,
	corrected_hm
});

describe('roads', () => {
	test('kilometres are kept to a tenth', () => {
		expect(['12.4', '12,44', '0', '2000'].map(hectometresFrom)).toEqual([124, 124, 0, 20_000]);
		expect(['', '-1', 'far', '2000.1'].map(hectometresFrom)).toEqual([
			undefined,
			undefined,
			undefined,
			undefined
		]);
		expect(kmWords(124)).toBe('12.4 km');
	});

	test('a yard and a ground stand in the same table', () => {
		const yard = { hire_id: 'h', machine_name: 'Aerator', supplier_name: 'Ostlerby', to: end('Wick') };
		const line = depotLineOf({ ...yard, reckoned_hm: 80, corrected_hm: 95 });
		expect([line.from, line.fromWhose, line.to, line.correctedHm]).toEqual([
			'Yard of Ostlerby',
			'Aerator',
			'Wick',
			95
		]);
		expect(lineOf(road('Wick', 'Ashby', null)).key).toBe('Wick-Ashby');
	});

	test('grounds are listed once, and corrections counted', () => {
		const roads = [road('Wick', 'Ashby', null), road('Ashby', 'Marl End', 90)];
		expect(endsOf(roads).map((each) => each.ground_name)).toEqual(['Ashby', 'Marl End', 'Wick']);
		expect(roadsAnswer(roads)).toBe('One road is put right; the others are reckoned.');
		expect(roadsAnswer([road('Wick', 'Ashby', null)])).toContain('none has been put right');
	});
});
