import { halfDayAt } from '$lib/time/halfdays';
import { describe, expect, test } from 'vitest';
import {
	afterDay,
	daysOf,
	halvesOf,
	startDays,
	toggled,
	weekdayOf,
	withoutDays,
	withoutWeekday,
	withoutWeekends
} from './allowed';

/** Monday 3 May 2027 to the Sunday after it. */
const week = halvesOf([{ from: '2027-05-03T00:00:00', until: '2027-05-10T00:00:00' }]);
const monday = halfDayAt('2027-05-03T00:00:00');

describe('the half-days a request could be served on', () => {
	test('a week of hire has fourteen, and spans that overlap count once', () => {
		expect(week).toHaveLength(14);
		const twice = halvesOf([
			{ from: '2027-05-03T00:00:00', until: '2027-05-05T00:00:00' },
			{ from: '2027-05-04T12:00:00', until: '2027-05-05T12:00:00' }
		]);
		expect(twice).toHaveLength(5);
	});

	test('the weekday is that of the calendar', () => {
		for (const date of ['2027-05-03', '2028-02-29', '1999-12-31', '2027-10-31']) {
			expect(weekdayOf(halfDayAt(`${date}T12:00:00`))).toBe(new Date(`${date}T12:00:00Z`).getUTCDay());
		}
	});

	test('the day of the final fixture itself is not taken', () => {
		expect(daysOf(afterDay(week, '2027-05-05'))[0]).toBe('2027-05-06');
		expect(afterDay(week, '2027-05-09')).toEqual([]);
	});

	test('training takes the afternoons of its weekday and leaves the mornings', () => {
		const left = withoutWeekday(withoutWeekday(week, 2, 'afternoon'), 4, 'afternoon');
		expect(left).toHaveLength(12);
		expect(left).toContain(halfDayAt('2027-05-04T00:00:00'));
		expect(left).not.toContain(halfDayAt('2027-05-06T12:00:00'));
		expect(withoutWeekday(week, 6, 'day')).toHaveLength(12);
	});

	test('closed days and weekends go, and nothing else', () => {
		expect(daysOf(withoutDays(week, '2027-05-04', '2027-05-08'))).toEqual(['2027-05-03', '2027-05-09']);
		expect(daysOf(withoutWeekends(week)).at(-1)).toBe('2027-05-07');
	});

	test('pressing twice changes nothing, and the list stays in order', () => {
		expect(toggled(toggled(week, monday), monday)).toEqual(week);
		expect(toggled([monday + 3], monday)).toEqual([monday, monday + 3]);
	});

	test('a block begins only where all of it fits', () => {
		const left = [monday, monday + 1, monday + 2, monday + 5];
		expect(startDays(left, 1)).toEqual(['2027-05-03', '2027-05-04', '2027-05-05']);
		expect(startDays(left, 3)).toEqual(['2027-05-03']);
		expect(startDays(left, 4)).toEqual([]);
	});
});
