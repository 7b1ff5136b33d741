import { describe, expect, test } from 'vitest';
import {
	addDays,
	gaps,
	halfDayAt,
	halfDaysIn,
	lengthWords,
	overlaps,
	spanOf,
	spanWords,
	wallOf
} from './halfdays';
import { awayWords, closingWords, instantAt, instantWords, todayIn } from './instants';

const today = '2027-04-30';
const span = (from: string, until: string) => ({ from, until });

describe('half-days', () => {
	test('a wall time becomes a half-day and back', () => {
		for (const wall of ['2027-05-04T00:00:00', '2027-05-04T12:00:00', '2028-02-29T12:00:00']) {
			expect(wallOf(halfDayAt(wall))).toBe(wall);
		}
	});

	test('spans are half-open: neighbours do not overlap', () => {
		const monday = span('2027-05-03T00:00:00', '2027-05-04T00:00:00');
		const tuesday = span('2027-05-04T00:00:00', '2027-05-04T12:00:00');
		expect(overlaps(monday, tuesday)).toBe(false);
		expect(halfDaysIn(monday)).toBe(2);
		expect(halfDaysIn(tuesday)).toBe(1);
	});

	test('a span is said in words', () => {
		expect(spanWords(span('2027-05-04T00:00:00', '2027-05-04T12:00:00'), today)).toBe('Tue 4 May, morning');
		expect(spanWords(span('2027-05-04T12:00:00', '2027-05-05T00:00:00'), today)).toBe('Tue 4 May, afternoon');
		expect(spanWords(span('2027-05-04T00:00:00', '2027-05-05T00:00:00'), today)).toBe('Tue 4 May, all day');
		expect(spanWords(span('2027-05-04T00:00:00', '2027-05-06T00:00:00'), today)).toBe(
			'Tue 4 May to Wed 5 May'
		);
		expect(spanWords(span('2027-05-04T12:00:00', '2027-05-06T12:00:00'), today)).toBe(
			'Tue 4 May, afternoon, to Thu 6 May, morning'
		);
		expect(spanWords(span('2028-01-03T00:00:00', '2028-01-03T12:00:00'), today)).toBe('Mon 3 Jan, morning');
		expect(spanWords(span('2028-05-04T00:00:00', '2028-05-04T12:00:00'), today)).toBe(
			'Thu 4 May 2028, morning'
		);
	});

	test('a length is said in days', () => {
		expect([1, 2, 3, 4, 5].map(lengthWords)).toEqual(['half a day', '1 day', '1½ days', '2 days', '2½ days']);
	});

	test('gaps are what is left over, whatever the order of what is taken', () => {
		const h = halfDayAt('2027-05-03T00:00:00');
		const taken = [spanOf(h + 6, h + 8), spanOf(h, h + 2), spanOf(h + 1, h + 3)];
		expect(gaps(spanOf(h, h + 10), taken)).toEqual([spanOf(h + 3, h + 6), spanOf(h + 8, h + 10)]);
		expect(gaps(spanOf(h, h + 2), [spanOf(h - 4, h + 9)])).toEqual([]);
	});

	test('days are added across a month and a clock change', () => {
		expect(addDays('2027-03-27', 5)).toBe('2027-04-01');
		expect(addDays('2027-11-01', -2)).toBe('2027-10-30');
	});
});

describe('instants', () => {
	const zone = 'Europe/London';

	test('an instant is shown in the network’s time zone', () => {
		expect(instantWords('2027-05-04T16:00:00Z', zone, new Date('2027-04-30T10:00:00Z'))).toBe(
			'Tue 4 May, 17:00'
		);
		expect(todayIn(zone, new Date('2027-06-30T23:30:00Z'))).toBe('2027-07-01');
	});

	test('a closing time says how far away it is', () => {
		expect(closingWords('2027-05-04T16:00:00Z', zone, new Date('2027-04-30T10:00:00Z'))).toBe(
			'closes Tue 4 May at 17:00, in 4 days'
		);
		expect(closingWords('2027-05-04T16:00:00Z', zone, new Date('2027-05-05T10:00:00Z'))).toBe(
			'closed Tue 4 May at 17:00, yesterday'
		);
		expect(awayWords('2027-05-04', '2027-05-04')).toBe('today');
	});

	test('a wall clock is turned into an instant on both sides of a clock change', () => {
		expect(instantAt('2027-05-04', '17:00', zone)).toBe('2027-05-04T16:00:00Z');
		expect(instantAt('2027-12-04', '17:00', zone)).toBe('2027-12-04T17:00:00Z');
		expect(instantAt('2027-03-28', '12:00', zone)).toBe('2027-03-28T11:00:00Z');
	});
});
