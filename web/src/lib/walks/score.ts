/** Scores with their doubt, in words and as places on a line from 0 to 100. Pure. */
import { plainNumber } from '$lib/money/amounts';

/** Standard errors on either side that hold the true score in 95 of 100 cases (normal distribution). */
export const SPREAD = 1.96;

/** "62 ± 8". */
export function scoreWords(score: number, se: number): string {
	return `${Math.round(score)} ± ${Math.max(1, Math.round(se * SPREAD))}`;
}

/** The ends of the interval, kept between 0 and 100. */
export function interval(score: number, se: number): [low: number, high: number] {
	return [Math.max(0, score - SPREAD * se), Math.min(100, score + SPREAD * se)];
}

/** "1st", "2nd", "3rd", "4th", "11th", "21st". */
export function ordinal(n: number): string {
	const tens = n % 100;
	const ending = tens >= 11 && tens <= 13 ? 'th' : (['th', 'st', 'nd', 'rd'][n % 10] ?? 'th');
	return `${n}${ending}`;
}

/** "85 %", "32 mm": a measured value with its unit. */
export function measured(value: number, unit: string): string {
	return `${plainNumber(value, 1)}${unit ? ` ${unit}` : ''}`;
}

export function mean(values: number[]): number {
	return values.reduce((sum, value) => sum + value, 0) / values.length;
}

interface Gain {
	name: string;
	own_score?: number | null;
	others_median_score?: number | null;
}

/** Where this pitch lies furthest below the others, or nothing where it never does. */
export function furthestBelow<T extends Gain>(criteria: T[]): T | undefined {
	const below = criteria
		.filter((c) => typeof c.own_score === 'number' && typeof c.others_median_score === 'number')
		.map((c) => ({ c, by: (c.others_median_score ?? 0) - (c.own_score ?? 0) }))
		.filter(({ by }) => by > 0)
		.sort((a, b) => b.by - a.by);
	return below[0]?.c;
}
