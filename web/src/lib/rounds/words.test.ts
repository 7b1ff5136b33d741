import { describe, expect, it } from 'vitest';
import { knownWords, levelWords, priceWords, reachedWords, wishWords } from './words';

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

	it('tells every level before and after, with the road taken apart from the points', () => {
		const levels = [
			{ level: 'weight' as const, value: 90, bound: 90 },
			{ level: 'points_less_haul' as const, value: -25, bound: -25 },
			{ level: 'points' as const, value: 20, bound: 20 }
		];
		const changes = [
			{ level: 'weight' as const, before: 90, after: 70, worse_by: 20 },
			{ level: 'points_less_haul' as const, before: -25, after: -85, worse_by: 60 },
			{ level: 'points' as const, before: 20, after: 22, worse_by: -2 }
		];
		expect(priceWords({ levels, km_per_point: 2 }, { changes })).toEqual([
			{ name: 'Weight served', before: '90', after: '70', change: '20 less' },
			{ name: 'Road', before: '42.5 km', after: '52.5 km', change: '10 km more' },
			{ name: 'Wish points', before: '20', after: '22', change: '2 more' }
		]);
		expect(priceWords({ levels, km_per_point: 2 }, { changes: [] }).map((price) => price.change)).toEqual([
			'the same',
			'the same',
			'the same'
		]);
	});

	it('tells what is known while a plan is being made', () => {
		const levels = [
			{ level: 'weight' as const, value: 90, bound: 90 },
			{ level: 'points' as const, value: 20, bound: 31 },
			{ level: 'haul' as const, value: 500, bound: 410 }
		];
		expect(knownWords({ levels, km_per_point: 2 })).toEqual([
			'weight served: 90, and no plan has more',
			'wish points: 20 so far, perhaps up to 31',
			'road: 50 km so far'
		]);
		expect(knownWords({ levels: levels.slice(2), km_per_point: 2 })).toEqual([
			'road: 50 km so far, perhaps down to 41 km'
		]);
	});

	it('tells which wish it is', () => {
		expect(wishWords({ wish_rank: 1, wishes: 2 })).toBe('Its first wish');
		expect(wishWords({ wish_rank: null, wishes: 2 })).toBe('None of its wishes');
		expect(wishWords({ wish_rank: null, wishes: 0 })).toBe('Wished for no day');
	});
});
