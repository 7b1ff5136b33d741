/**
 * The half-days on which a request could be served: a sorted list, and what the quick answers do to it. Pure: knows no
 * clock.
 */
import type { Span } from '$lib/api/types';
import { dateOf, dayNumber, halfDayAt, type HalfDay } from '$lib/time/halfdays';

export type PartOfDay = 'day' | 'morning' | 'afternoon';

const THURSDAY = 4;

/** 0 is Sunday. The first day counted from, 1 January 1970, was a Thursday. */
export function weekdayOf(half: HalfDay): number {
	return (Math.floor(half / 2) + THURSDAY) % 7;
}

/** The half-days of all spans, sorted, each once. */
export function halvesOf(spans: Span[]): HalfDay[] {
	const halves = new Set<HalfDay>();
	for (const span of spans) {
		for (let half = halfDayAt(span.from); half < halfDayAt(span.until); half += 1) halves.add(half);
	}
	return [...halves].sort((a, b) => a - b);
}

/** Days, as dates, that hold at least one of the half-days. */
export function daysOf(halves: HalfDay[]): string[] {
	return [...new Set(halves.map((half) => Math.floor(half / 2)))].sort((a, b) => a - b).map(dateOf);
}

export function toggled(halves: HalfDay[], half: HalfDay): HalfDay[] {
	return halves.includes(half)
		? halves.filter((other) => other !== half)
		: [...halves, half].sort((a, b) => a - b);
}

/** Only from the day after a date, such as that of the final fixture. */
export function afterDay(halves: HalfDay[], date: string): HalfDay[] {
	return halves.filter((half) => Math.floor(half / 2) > dayNumber(date));
}

function isPart(half: HalfDay, part: PartOfDay): boolean {
	return part === 'day' || (part === 'afternoon') === (half % 2 !== 0);
}

/** Without one weekday, or a part of it: training needs the ground then. */
export function withoutWeekday(halves: HalfDay[], weekday: number, part: PartOfDay): HalfDay[] {
	return halves.filter((half) => weekdayOf(half) !== weekday || !isPart(half, part));
}

/** Without the days from one date to another, both left out: a match, a closed ground. */
export function withoutDays(halves: HalfDay[], from: string, until: string): HalfDay[] {
	return halves.filter(
		(half) => Math.floor(half / 2) < dayNumber(from) || Math.floor(half / 2) > dayNumber(until)
	);
}

export function withoutWeekends(halves: HalfDay[]): HalfDay[] {
	return halves.filter((half) => weekdayOf(half) !== 0 && weekdayOf(half) !== 6);
}

/** Days on which a block of so many half-days could begin. */
export function startDays(halves: HalfDay[], length: number): string[] {
	const held = new Set(halves);
	const starts = halves.filter((half) =>
		Array.from({ length: Math.max(length, 1) }, (_, at) => half + at).every((at) => held.has(at))
	);
	return daysOf(starts);
}
