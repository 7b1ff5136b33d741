/** What a re-plan changes, in words. Pure. */
import type { ChangeKind, PlanLevel, Replan } from '$lib/api/types';
import { counted } from '$lib/hires/words';
import type { Kind } from '$lib/look/Shape.svelte';
import { levelWords } from '$lib/rounds/words';

export const changeKindWords: Record<ChangeKind, { word: string; kind: Kind }> = {
	begun: { word: 'Has begun, stays', kind: 'rest' },
	kept: { word: 'Stays', kind: 'go' },
	other_machine: { word: 'Another machine', kind: 'wait' },
	half_day_moved: { word: 'Moves within the day', kind: 'wait' },
	day_moved: { word: 'Moves', kind: 'wait' },
	lost: { word: 'Loses its place', kind: 'stop' },
	served: { word: 'Gets a place', kind: 'done' }
};

/** The sentence at the top of the page. */
export function answerOf(replan: Replan): string {
	const lying = replan.on_closed_days.length;
	const closed = `${counted(lying, 'place lies', 'places lie')} on days on which the ground is closed`;
	const plan = replan.plan;
	if (replan.state !== 'agreed') return 'The round is not agreed, so there is nothing to plan again.';
	if (plan?.state === 'queued' || plan?.state === 'working')
		return 'The round is being planned again; this page keeps looking.';
	if (plan?.state === 'ready' && !plan.is_stale && replan.sentence) return replan.sentence;
	if (plan?.state === 'ready' && plan.is_stale)
		return 'Something changed since it was planned again: plan it once more.';
	if (plan?.state === 'failed') return 'It could not be planned again.';
	if (lying > 0) return `${closed}: plan the round again.`;
	if (plan?.state === 'chosen') return 'The re-plan is in force; every place lies on open ground.';
	return 'Every place lies on open ground: nothing has to be planned again.';
}

/** A level of the price: what it is now, and what it would be. */
export interface PriceLine {
	level: PlanLevel['level'];
	words: string;
	now: string;
	then: string;
	same: boolean;
}

/** The price of a re-plan in every level, in the order in which levels count. */
export function priceOf({ plan, stands }: Pick<Replan, 'plan' | 'stands'>): PriceLine[] {
	return (plan?.levels ?? []).map((level) => {
		const [words = '', then = ''] = levelWords(level).split(': ');
		const before = stands.find((other) => other.level === level.level);
		const now = before ? (levelWords(before).split(': ')[1] ?? '') : '';
		return { level: level.level, words, now, then, same: before?.value === level.value };
	});
}

/** "Alder, Birch and Cedar are mailed." */
export function tellsWords(tells: string[]): string {
	const [last, ...others] = [...tells].reverse();
	if (last === undefined) return 'No club is mailed.';
	if (others.length === 0) return `${last} is mailed.`;
	return `${others.reverse().join(', ')} and ${last} are mailed.`;
}
