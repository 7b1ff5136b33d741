/** What rounds, needs and the ways of hauling are called. */
import type { Hire, RoundState } from '$lib/api/types';
import type { Kind } from '$lib/look/Shape.svelte';
import { moneyWords } from '$lib/money/money';

export const roundWords: Record<RoundState, { word: string; kind: Kind }> = {
	gathering: { word: 'Takes requests', kind: 'go' },
	requests_closed: { word: 'Being planned', kind: 'wait' },
	offered: { word: 'Offered', kind: 'wait' },
	agreed: { word: 'Agreed', kind: 'done' },
	finished: { word: 'Finished', kind: 'done' },
	called_off: { word: 'Called off', kind: 'stop' }
};

/** Need, from 1 to 5, as a groundsman would say it. */
export const needWords: Record<number, string> = {
	1: 'Would be nice',
	2: 'Would help',
	3: 'Needed this year',
	4: 'Needed badly',
	5: 'Hardly playable without'
};

export const hauledByWords: Record<Hire['hauled_by'], string> = {
	supplier: 'The supplier brings and collects it',
	clubs: 'Clubs fetch it from the yard and take it back'
};

/** "£320.00 a day, £180.00 a half-day": the charges that depend on use. */
export function hireCharges(hire: Hire): string[] {
	const parts: [number | null, string][] = [
		[hire.per_week_pence, 'a week'],
		[hire.per_day_pence, 'a day'],
		[hire.per_half_day_pence, 'a half-day'],
		[hire.per_ha_pence, 'a hectare']
	];
	return parts.flatMap(([pence, of]) => (pence === null ? [] : [`${moneyWords(pence)} ${of}`]));
}

/** "1 club", "11 clubs". */
export function counted(count: number, one: string, many: string): string {
	return `${count} ${count === 1 ? one : many}`;
}
