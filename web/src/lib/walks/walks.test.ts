import { describe, expect, test } from 'vitest';
import type { Criterion } from '$lib/api/types';
import { isEmpty, isUnusual, lacking, newDraft, parseDraft, readingFrom, readingsOf } from './draft';
import { furthestBelow, interval, measured, ordinal, scoreWords } from './score';

const height: Criterion = {
	criterion: 'sward_height',
	name: 'Sward height',
	unit: 'mm',
	method: 'Ruler',
	how: 'Press the ruler to the soil.',
	optional: false,
	lowest: 0,
	highest: 300,
	plausible_low: 15,
	plausible_high: 120,
	recommended_readings: 6,
	recommended_by: 'the house',
	first_scale_basis: 'common practice, no source'
};

describe('scores', () => {
	test('a score is never said to be surer than one point', () => {
		expect(scoreWords(61.5, 4.2)).toBe('62 ± 8');
		expect(scoreWords(50, 0.1)).toBe('50 ± 1');
	});
	test('an interval stays on the line', () => {
		expect(interval(98, 5)[1]).toBe(100);
		expect(interval(2, 5)[0]).toBe(0);
	});
	test('places are counted in words', () => {
		expect([1, 2, 3, 4, 11, 12, 13, 21, 112].map(ordinal)).toEqual([
			'1st',
			'2nd',
			'3rd',
			'4th',
			'11th',
			'12th',
			'13th',
			'21st',
			'112th'
		]);
	});
	test('a measured value carries its unit', () => {
		expect(measured(32.04, 'mm')).toBe('32 mm');
	});
	test('most is to be gained where the others are furthest ahead', () => {
		const criteria = [
			{ name: 'a', own_score: 50, others_median_score: 60 },
			{ name: 'b', own_score: 40, others_median_score: 70 },
			{ name: 'c', own_score: null, others_median_score: 99 }
		];
		expect(furthestBelow(criteria)?.name).toBe('b');
		expect(furthestBelow([{ name: 'd', own_score: 80, others_median_score: 60 }])).toBeUndefined();
	});
});

describe('a walk being written down', () => {
	test('comes back as it was kept', () => {
		const draft = { ...newDraft('w', '2027-05-04'), values: { sward_height: [30, 32.5] }, note: 'wet' };
		expect(parseDraft(JSON.stringify(draft))).toEqual(draft);
	});
	test('is as good as none when it cannot be read', () => {
		for (const text of [null, '', '{', '{"walked_on":3}', '[]']) expect(parseDraft(text)).toBeUndefined();
	});
	test('knows impossible readings from unusual ones', () => {
		expect(readingFrom('32,5', height)).toEqual({ value: 32.5 });
		expect(readingFrom('', height)).toEqual({ fault: 'Write a number.' });
		expect(readingFrom('400', height)).toEqual({ fault: 'It can only be from 0 to 300 mm.' });
		expect([10, 30, 130].map((value) => isUnusual(value, height))).toEqual([true, false, true]);
	});
	test('knows which criteria it still needs', () => {
		const other: Criterion = { ...height, criterion: 'hardness', optional: true };
		expect(lacking(newDraft('w', '2027-05-04'), [height, other])).toEqual([height]);
		const draft = { ...newDraft('w', '2027-05-04'), values: { sward_height: [30] } };
		expect(lacking(draft, [height, other])).toEqual([]);
	});
	test('sends only what was measured', () => {
		const draft = { ...newDraft('w', '2027-05-04'), values: { a: [1], b: [] } };
		expect(readingsOf(draft)).toEqual([{ criterion: 'a', values: [1] }]);
		expect(isEmpty(newDraft('w', '2027-05-04'))).toBe(true);
		expect(isEmpty(draft)).toBe(false);
	});
});
