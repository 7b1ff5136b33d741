/** How long and why a ground is closed, in words. Pure: "today" is handed in. */
import type { Closure, Span } from '$lib/api/types';
import { dayNumber, overlaps, spanOf, spanWords } from '$lib/time/halfdays';

/** How long a ground is closed, from today on. */
export type HowLong = 'today' | 'three_days' | 'week';
export const howLongWords: { value: HowLong; words: string }[] = [
	{ value: 'today', words: 'Today' },
	{ value: 'three_days', words: '3 days' },
	{ value: 'week', words: 'A week' }
];
const days: Record<HowLong, number> = { today: 1, three_days: 3, week: 7 };

export type Why = 'wet' | 'frozen' | 'other';
export const whyWords: { value: Why; words: string }[] = [
	{ value: 'wet', words: 'Too wet' },
	{ value: 'frozen', words: 'Frozen' },
	{ value: 'other', words: 'Other' }
];

/** Whole days from today on. */
export function spanFor(howLong: HowLong, today: string): Span {
	const first = dayNumber(today) * 2;
	return spanOf(first, first + days[howLong] * 2);
}

/** The answer of a ground's page: what is closed now, what is closed later, or neither. */
export function groundWords(ground: string, closures: Pick<Closure, 'span'>[], today: string): string {
	const now = closures.find((closure) => overlaps(closure.span, spanFor('today', today)));
	if (now) return `${ground} is closed: ${spanWords(now.span, today)}.`;
	const [next] = closures;
	return next
		? `${ground} is open today and closed later: ${spanWords(next.span, today)}.`
		: `${ground} is open: machines may go onto it.`;
}

/** "2 bookings lie on these days." */
export function lyingWords(count: number): string {
	if (count === 0) return 'No booking lies on these days.';
	return count === 1 ? 'One booking lies on these days:' : `${count} bookings lie on these days:`;
}
