/** What plans, their levels and their changes are called. */
import type { LevelName, Plan, PlanOrder, PlannedPlace, Trial } from '$lib/api/types';
import type { Kind } from '$lib/look/Shape.svelte';
import { plainNumber } from '$lib/money/amounts';

export const orderWords: Record<PlanOrder, { title: string; why: string }> = {
	wishes_first: { title: 'Wishes first', why: 'As many wishes as can be, then the least road.' },
	between: { title: 'In between', why: 'A wish point counts for so many kilometres, as the round says.' },
	haulage_first: { title: 'Least road first', why: 'The least road, then as many wishes as can be.' }
};

const levelNames: Record<LevelName, string> = {
	pinned: 'pins kept',
	guaranteed: 'clubs served that must be',
	weight: 'weight served',
	kept_weight: 'weight of confirmed places kept',
	disruption: 'disruption of confirmed places',
	new_weight: 'weight served newly',
	points: 'wish points',
	points_less_haul: 'wish points at their worth, less the road',
	haul: 'road'
};

const inRoad = (level: LevelName) => level === 'haul' || level === 'points_less_haul';

/** "wish points: 20", "road: 12.4 km". */
export function levelWords({ level, value }: { level: LevelName; value: number }): string {
	return `${levelNames[level]}: ${inRoad(level) ? `${plainNumber(value / 10, 1)} km` : value}`;
}

/**
 * What a plan reaches, as far as it says something: between the two ends the sum of points and road is taken apart
 * again, and where no club must be served, that none was is no news.
 */
export function reachedWords({ levels, km_per_point }: Pick<Plan, 'levels' | 'km_per_point'>): string {
	const points = levels.find((level) => level.level === 'points')?.value ?? 0;
	const told = levels
		.filter((level) => level.level !== 'guaranteed' || level.value > 0 || level.bound > 0)
		.map((level) =>
			level.level === 'points_less_haul'
				? { level: 'haul' as const, value: Math.round(points * km_per_point * 10) - level.value }
				: level
		);
	const words = told.map(levelWords).join('; ');
	return words.charAt(0).toUpperCase() + words.slice(1);
}

/** "20 less in weight served", "3.5 km more on the road": what a change costs or brings. */
export function changeWords({ level, before, after }: Trial['changes'][number]): string {
	const by = Math.abs(after - before);
	const amount = inRoad(level) ? `${plainNumber(by / 10, 1)} km` : String(by);
	return `${amount} ${after > before ? 'more' : 'less'}: ${levelNames[level]}`;
}

export function stateOf(plan: Plan): { word: string; kind: Kind } {
	if (plan.state === 'queued') return { word: 'Waits', kind: 'wait' };
	if (plan.state === 'working') return { word: plan.is_stopping ? 'Ending' : 'Being made', kind: 'wait' };
	if (plan.state === 'failed') return { word: 'Failed', kind: 'stop' };
	if (plan.is_stale) return { word: 'Out of date', kind: 'stop' };
	return plan.state === 'chosen' ? { word: 'Chosen', kind: 'done' } : { word: 'Ready', kind: 'go' };
}

/** "best possible", or how far it could still be from that. */
export function howGood(plan: Plan): string {
	if (plan.ready_at === null) return plan.levels.length === 0 ? 'not there yet' : 'the best so far';
	if (plan.is_best_possible) return 'best possible';
	return `within ${plainNumber(plan.within_percent ?? 0, 1)} % of the best possible`;
}

/** Which of its wishes a club has. */
export function wishWords({ wish_rank, wishes }: Pick<PlannedPlace, 'wish_rank' | 'wishes'>): string {
	const ranks = ['first', 'second', 'third', 'fourth'];
	if (wishes === 0) return 'Wished for no day';
	return wish_rank === null ? 'None of its wishes' : `Its ${ranks[wish_rank - 1] ?? 'last'} wish`;
}
