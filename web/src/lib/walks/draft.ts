/** A walk being written down: what is kept on the phone, checked when it is read back. Pure. */
import type { Criterion, CriterionKey, Reading } from '$lib/api/types';
import { numberFrom } from '$lib/look/numbers';

export interface Draft {
	/** Minted here, so that sending twice can never make two walks. */
	walk_id: string;
	begun_on: string;
	walked_on: string;
	/** Readings by criterion. */
	values: Record<string, number[]>;
	/** Typed but not yet added. */
	typed: Record<string, string>;
	note: string;
}

export function newDraft(walkId: string, today: string): Draft {
	return { walk_id: walkId, begun_on: today, walked_on: today, values: {}, typed: {}, note: '' };
}

export function draftKey(networkId: string, pitchId: string): string {
	return `turfring.walk.${networkId}.${pitchId}`;
}

/** Reads a kept draft; anything that is not one is as good as none. */
export function parseDraft(text: string | null): Draft | undefined {
	if (text === null) return undefined;
	try {
		const kept = JSON.parse(text) as Partial<Draft>;
		if (typeof kept.walk_id !== 'string' || typeof kept.walked_on !== 'string') return undefined;
		const values: Record<string, number[]> = {};
		for (const [criterion, list] of Object.entries(kept.values ?? {})) {
			if (Array.isArray(list)) values[criterion] = list.filter((value) => typeof value === 'number');
		}
		return {
			walk_id: kept.walk_id,
			begun_on: kept.begun_on ?? kept.walked_on,
			walked_on: kept.walked_on,
			values,
			typed: kept.typed ?? {},
			note: kept.note ?? ''
		};
	} catch {
		return undefined;
	}
}

export function isEmpty(draft: Draft): boolean {
	return (
		Object.values(draft.values).every((list) => list.length === 0) &&
		Object.values(draft.typed).every((text) => text.trim() === '') &&
		draft.note.trim() === ''
	);
}

/** What a typed reading is worth: a number, or the reason why not. */
export function readingFrom(typed: string, criterion: Criterion): { value: number } | { fault: string } {
	const value = numberFrom(typed);
	if (value === null || value === undefined) return { fault: 'Write a number.' };
	if (value < criterion.lowest || value > criterion.highest) {
		return { fault: `It can only be from ${criterion.lowest} to ${criterion.highest} ${criterion.unit}.` };
	}
	return { value };
}

export function isUnusual(value: number, criterion: Criterion): boolean {
	return value < criterion.plausible_low || value > criterion.plausible_high;
}

/** What is sent: only criteria with readings. */
export function readingsOf(draft: Draft): Reading[] {
	return Object.entries(draft.values)
		.filter(([, values]) => values.length > 0)
		.map(([criterion, values]) => ({ criterion: criterion as CriterionKey, values }));
}

/** The criteria a walk cannot do without and has no reading of. */
export function lacking(draft: Draft, criteria: Criterion[]): Criterion[] {
	return criteria.filter(
		(criterion) => !criterion.optional && (draft.values[criterion.criterion]?.length ?? 0) === 0
	);
}
