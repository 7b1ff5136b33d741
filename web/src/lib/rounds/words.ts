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
const amount = (level: LevelName, value: number) =>
	inRoad(level) ? `${plainNumber(value / 10, 1)} km` : String(value);

/** "wish points: 20", "road: 12.4 km". */
export function levelWords({ level, value }: { level: LevelName; value: number }): string {
	return `${levelNames[level]}: ${amount(level, value)}`;
}

type Reached = { level: LevelName; value: number; bound?: number };

/** Levels as people count: between the two ends the sum of points and road is taken apart again. */
function counted(levels: Reached[], kmPerPoint: number): Reached[] {
	const points = levels.find((level) => level.level === 'points')?.value ?? 0;
	return levels.map((level) =>
		level.level === 'points_less_haul'
			? { level: 'haul' as const, value: Math.round(points * kmPerPoint * 10) - level.value }
			: level
	);
}

/** What a plan reaches, as far as it says something: where no club must be served, that none was is no news. */
export function reachedWords({ levels, km_per_point }: Pick<Plan, 'levels' | 'km_per_point'>): string {
	const telling = levels.filter(
		(level) => level.level !== 'guaranteed' || level.value > 0 || level.bound > 0
	);
	const words = counted(telling, km_per_point).map(levelWords).join('; ');
	return words.charAt(0).toUpperCase() + words.slice(1);
}

/**
 * "weight served: 320, and no plan has more", "wish points: 20 so far, perhaps up to 31": what is known while a plan is
 * made. Behind the first level that is open nothing is known of what could be reached.
 */
export function knownWords({ levels, km_per_point }: Pick<Plan, 'levels' | 'km_per_point'>): string[] {
	const open = levels.findIndex((level) => level.bound !== level.value);
	return counted(levels, km_per_point).map((level, at) => {
		const words = levelWords(level);
		const bound = open === -1 || at <= open ? level.bound : undefined;
		if (bound === undefined) return `${words} so far`;
		const less = level.level === 'haul' || level.level === 'disruption';
		if (bound === level.value) return `${words}, and no plan has ${less ? 'less' : 'more'}`;
		return `${words} so far, perhaps ${less ? 'down' : 'up'} to ${amount(level.level, Math.max(bound, 0))}`;
	});
}

export interface Price {
	name: string;
	before: string;
	after: string;
	change: string;
}

/** Each level of a plan as it is and as it would be, in the order of what counts first. */
export function priceWords(
	plan: Pick<Plan, 'levels' | 'km_per_point'>,
	{ changes }: Pick<Trial, 'changes'>
): Price[] {
	const after = plan.levels.map(({ level, value }) => ({
		level,
		value: changes.find((change) => change.level === level)?.after ?? value
	}));
	const then = counted(after, plan.km_per_point);
	return counted(plan.levels, plan.km_per_point).map(({ level, value }, at) => {
		const by = (then[at]?.value ?? value) - value;
		return {
			name: levelNames[level].charAt(0).toUpperCase() + levelNames[level].slice(1),
			before: amount(level, value),
			after: amount(level, value + by),
			change: by === 0 ? 'the same' : `${amount(level, Math.abs(by))} ${by > 0 ? 'more' : 'less'}`
		};
	});
}

export function stateOf(plan: Plan): { word: string; kind: Kind } {
	if (plan.state === 'queued') return { word: 'Waits', kind: 'wait' };
	if (plan.state === 'working') return { word: plan.is_stopping ? 'Ending' : 'Being made', kind: 'wait' };
	if (plan.state === 'failed') return { word: 'Failed', kind: 'stop' };
	if (plan.is_stale) return { word: 'Out of date', kind: 'stop' };
	return plan.state === 'chosen' ? { word: 'Chosen', kind: 'done' } : { word: 'Ready', kind: 'go' };
}

/** Beyond this a bound says nothing any more. */
const FAR_PERCENT = 100;

/** "best possible", or how far it could still be from that. */
export function howGood(plan: Plan): string {
	if (plan.ready_at === null) return plan.levels.length === 0 ? 'nothing found yet' : 'the best so far';
	if (plan.is_best_possible) return 'best possible';
	const percent = plan.within_percent ?? 0;
	if (percent > FAR_PERCENT) return 'how far from the best possible is not known';
	return `within ${plainNumber(percent, 1)} % of the best possible`;
}

/** "Searched for 23 seconds; it ends after a minute with the best it has." */
export function lastedWords({ started_at }: Pick<Plan, 'started_at'>, now: number): string {
	// A phone's clock may be behind: nothing has been searched for less than no time.
	const seconds = started_at === null ? 0 : Math.max(0, Math.round((now - Date.parse(started_at)) / 1000));
	const lasted = seconds === 1 ? '1 second' : `${seconds} seconds`;
	return `Searched for ${lasted}; it ends after a minute at most, with the best it has.`;
}

/** Which of its wishes a club has. */
export function wishWords({ wish_rank, wishes }: Pick<PlannedPlace, 'wish_rank' | 'wishes'>): string {
	const ranks = ['first', 'second', 'third', 'fourth'];
	if (wishes === 0) return 'Wished for no day';
	return wish_rank === null ? 'None of its wishes' : `Its ${ranks[wish_rank - 1] ?? 'last'} wish`;
}
