import { expect, test } from 'vitest';
import type { Training } from '$lib/api/types';
import { everyWords, isTrained } from './words';

test('a training counts at its club, from its day to its last', () => {
	const training = (until_on: string | null) =>
		({ club_id: 'a', trained_on: '2027-03-01', until_on }) as Training;
	for (const [until, day, counts] of [
		[null, '2027-03-01', true],
		[null, '2027-02-28', false],
		['2027-03-31', '2027-03-31', true],
		['2027-03-31', '2027-04-01', false]
	] as const) {
		expect(isTrained([training(until)], 'a', day)).toBe(counts);
		expect(isTrained([training(until)], 'b', day)).toBe(false);
	}
});

test('an interval is said in words', () => {
	expect(everyWords(50, 12)).toBe('every 50 hours or 12 months');
	expect(everyWords(1, null)).toBe('every 1 hour');
});
