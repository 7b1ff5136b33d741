/**
 * How often a booking comes again: as people choose it, as a recurrence rule (RFC 5545, section 3.3.10), and in words.
 * Pure; the server counts the dates.
 */
import { dayNumber, dayWords } from '$lib/time/halfdays';

export type Unit = 'week' | 'month';
export interface Repeat {
	every: number;
	unit: Unit;
	/** The last date that still counts, or how many times. */
	end: { until: string } | { times: number };
}

const CODES = ['SU', 'MO', 'TU', 'WE', 'TH', 'FR', 'SA'] as const;
const NAMES = ['Sunday', 'Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday'] as const;
const ORDINALS = ['1st', '2nd', '3rd', '4th'] as const;

/** 0 is Sunday: 1970-01-01 was a Thursday. */
function weekdayOf(date: string): number {
	return (((dayNumber(date) + 4) % 7) + 7) % 7;
}

export function weekdayName(date: string): string {
	return NAMES[weekdayOf(date)] ?? '';
}

/** Which of its weekday a date is in its month: 1 to 4, or -1 for one that may be the fifth. */
export function nthOfMonth(date: string): number {
	const nth = Math.floor((Number(date.slice(8, 10)) - 1) / 7) + 1;
	return nth > 4 ? -1 : nth;
}

/** The rule of a choice that begins on a date. */
export function ruleOf(repeat: Repeat, firstDate: string): string {
	const code = CODES[weekdayOf(firstDate)];
	const often = repeat.every > 1 ? `;INTERVAL=${repeat.every}` : '';
	const days = repeat.unit === 'week' ? `;BYDAY=${code}` : `;BYDAY=${nthOfMonth(firstDate)}${code}`;
	const end =
		'until' in repeat.end ? `;UNTIL=${repeat.end.until.replaceAll('-', '')}` : `;COUNT=${repeat.end.times}`;
	return `FREQ=${repeat.unit === 'week' ? 'WEEKLY' : 'MONTHLY'}${often}${days}${end}`;
}

/** "Every Thursday", "Every 2nd Thursday", "On the 1st Monday of every month". */
export function oftenWords(every: number, unit: Unit, firstDate: string): string {
	const day = weekdayName(firstDate);
	if (unit === 'week') {
		if (every === 1) return `Every ${day}`;
		return every === 2 ? `Every 2nd ${day}` : `Every ${every} weeks on ${day}`;
	}
	const nth = nthOfMonth(firstDate);
	const which = nth === -1 ? 'last' : (ORDINALS[nth - 1] ?? '');
	return `On the ${which} ${day} of every ${every === 1 ? 'month' : `${every} months`}`;
}

/** A rule of ours in words; another rule says only that it repeats. */
export function ruleWords(rule: string, firstDate: string, today: string): string {
	const parts = new Map(rule.split(';').map((part) => part.split('=', 2) as [string, string]));
	const unit = { WEEKLY: 'week', MONTHLY: 'month' }[parts.get('FREQ') ?? ''] as Unit | undefined;
	const often = unit ? oftenWords(Number(parts.get('INTERVAL') ?? 1), unit, firstDate) : 'By a rule';
	const until = parts.get('UNTIL');
	if (until) {
		const date = `${until.slice(0, 4)}-${until.slice(4, 6)}-${until.slice(6, 8)}`;
		return `${often} until ${dayWords(date, today)}`;
	}
	const times = Number(parts.get('COUNT') ?? 0);
	return times > 0 ? `${often}, ${times === 1 ? 'once' : `${times} times`}` : often;
}
