/**
 * Half-days and how to say them. Pure: knows no clock and no network; "today" is always handed in.
 *
 * A half-day is an integer: twice the days since 1970-01-01, plus one for the afternoon. Spans are half-open.
 */
import type { Span } from '$lib/api/types';

export type HalfDay = number;

const DAY_MS = 86_400_000;
const WEEKDAYS = ['Sun', 'Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat'] as const;
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'Jun', 'Jul', 'Aug', 'Sep', 'Oct', 'Nov', 'Dec'] as const;

/** Days since 1970-01-01 of a date such as "2027-05-04". */
export function dayNumber(date: string): number {
	return Math.round(Date.parse(`${date.slice(0, 10)}T00:00:00Z`) / DAY_MS);
}

/** The date, "2027-05-04", of a number of days since 1970-01-01. */
export function dateOf(day: number): string {
	return new Date(day * DAY_MS).toISOString().slice(0, 10);
}

export function addDays(date: string, days: number): string {
	return dateOf(dayNumber(date) + days);
}

/** The half-day that begins at a wall time such as "2027-05-04T12:00:00". */
export function halfDayAt(wall: string): HalfDay {
	return dayNumber(wall) * 2 + (Number(wall.slice(11, 13)) >= 12 ? 1 : 0);
}

/** The wall time at which a half-day begins. */
export function wallOf(half: HalfDay): string {
	return `${dateOf(Math.floor(half / 2))}T${half % 2 === 0 ? '00' : '12'}:00:00`;
}

export function spanOf(from: HalfDay, until: HalfDay): Span {
	return { from: wallOf(from), until: wallOf(until) };
}

export function halfDaysIn(span: Span): number {
	return halfDayAt(span.until) - halfDayAt(span.from);
}

export function overlaps(a: Span, b: Span): boolean {
	return halfDayAt(a.from) < halfDayAt(b.until) && halfDayAt(b.from) < halfDayAt(a.until);
}

/** From this many days away a date could be taken for the same day of another year. */
const FAR_DAYS = 330;

/** "Tue 4 May", with the year when the date lies so far from `today` that it could be mistaken. */
export function dayWords(date: string, today: string): string {
	const at = new Date(dayNumber(date) * DAY_MS);
	const words = `${WEEKDAYS[at.getUTCDay()]} ${at.getUTCDate()} ${MONTHS[at.getUTCMonth()]}`;
	const far = Math.abs(dayNumber(date) - dayNumber(today)) > FAR_DAYS;
	return far ? `${words} ${at.getUTCFullYear()}` : words;
}

export function halfWord(half: HalfDay): 'morning' | 'afternoon' {
	return half % 2 === 0 ? 'morning' : 'afternoon';
}

/** "Tue 4 May, morning". */
export function halfDayWords(half: HalfDay, today: string): string {
	return `${dayWords(dateOf(Math.floor(half / 2)), today)}, ${halfWord(half)}`;
}

/** "Tue 4 May, morning", "Tue 4 May, all day", "Tue 4 May to Thu 6 May" or with half-days at the ends. */
export function spanWords(span: Span, today: string): string {
	const first = halfDayAt(span.from);
	const last = halfDayAt(span.until) - 1;
	if (last <= first) return halfDayWords(first, today);
	const firstDay = dayWords(span.from, today);
	const lastDay = dayWords(dateOf(Math.floor(last / 2)), today);
	if (firstDay === lastDay) return `${firstDay}, all day`;
	const from = first % 2 === 0 ? firstDay : `${firstDay}, afternoon,`;
	const until = last % 2 === 1 ? lastDay : `${lastDay}, morning`;
	return `${from} to ${until}`;
}

/** "1 half-day", "1 day", "1½ days", "2 days". */
export function lengthWords(halves: number): string {
	if (halves === 1) return 'half a day';
	if (halves === 2) return '1 day';
	return halves % 2 === 0 ? `${halves / 2} days` : `${Math.floor(halves / 2)}½ days`;
}

/** The half-days of `range` that are in none of `taken`, as the longest possible spans. */
export function gaps(range: Span, taken: Span[]): Span[] {
	const free: Span[] = [];
	let at = halfDayAt(range.from);
	const end = halfDayAt(range.until);
	const sorted = [...taken].sort((a, b) => halfDayAt(a.from) - halfDayAt(b.from));
	for (const span of sorted) {
		const from = Math.min(halfDayAt(span.from), end);
		if (from > at) free.push(spanOf(at, from));
		at = Math.max(at, halfDayAt(span.until));
	}
	if (at < end) free.push(spanOf(at, end));
	return free;
}
