import { describe, expect, it } from 'vitest';
import { changeWords, levelWords, reachedWords, wishWords } from './words';

describe('the words of plans', () => {
	it('tells road in kilometres and all else as it is counted', () => {
		expect(levelWords({ level: 'haul', value: 1234 })).toBe('road: 123.4 km');
		expect(levelWords({ level: 'points', value: 20 })).toBe('wish points: 20');
	});

	it('takes points and road apart again, and tells no guarantee that nobody has', () => {
		const level = (name: 'guaranteed' | 'weight' | 'points_less_haul' | 'points', value: number) => ({
			level: name,
			value,
			bound: value
		});
		const levels = [
			level('guaranteed', 0),
			level('weight', 90),
			level('points_less_haul', -25),
			level('points', 20)
		];
		expect(reachedWords({ levels, km_per_point: 2 })).toBe(
			'Weight served: 90; road: 42.5 km; wish points: 20'
		);
	});

	it('tells a change by its amount and direction', () => {
		const change = { level: 'haul' as const, before: 100, after: 135, worse_by: 35 };
		expect(changeWords(change)).toBe('3.5 km more: road');
		expect(changeWords({ level: 'weight', before: 90, after: 70, worse_by: 20 })).toBe(
			'20 less: weight served'
		);
	});

	it('tells which wish it is', () => {
		expect(wishWords({ wish_rank: 1, wishes: 2 })).toBe('Its first wish');
		expect(wishWords({ wish_rank: null, wishes: 2 })).toBe('None of its wishes');
		expect(wishWords({ wish_rank: null, wishes: 0 })).toBe('Wished for no day');
	});
});
