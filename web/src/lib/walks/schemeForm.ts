/** A scoring scheme as typed, and as sent. Pure. */
import type { FieldFault } from '$lib/api/error';
import type { Criterion, CriterionKey, Scheme } from '$lib/api/types';
import { numberFrom, typedNumber } from '$lib/look/numbers';
import type { SchemeFacts } from './calls';

export interface CriterionTyped {
	criterion: CriterionKey;
	name: string;
	unit: string;
	/** Empty when the criterion is not part of the score. */
	weight: string;
	points: { measured: string; score: string }[];
}
export interface SchemeTyped {
	note: string;
	criteria: CriterionTyped[];
}

/** What the scheme scores, and after it what could be scored too. */
export function typedScheme(
	scheme: Scheme,
	all: Pick<Criterion, 'criterion' | 'name' | 'unit'>[]
): SchemeTyped {
	const scored = scheme.criteria.map(({ criterion, name, unit, weight, points }) => ({
		criterion,
		name,
		unit,
		weight: typedNumber(weight),
		points: points.map((point) => ({
			measured: typedNumber(point.measured),
			score: typedNumber(point.score)
		}))
	}));
	const more = all
		.filter(({ criterion }) => !scored.some((entry) => entry.criterion === criterion))
		.map(({ criterion, name, unit }) => ({ criterion, name, unit, weight: '', points: [] }));
	return { note: '', criteria: [...scored, ...more] };
}

/** The points of a criterion that are numbers, in order of what is measured. */
export function pointsOf(typed: CriterionTyped): { measured: number; score: number }[] {
	return typed.points
		.map((point) => ({ measured: numberFrom(point.measured), score: numberFrom(point.score) }))
		.filter(
			(point): point is { measured: number; score: number } =>
				typeof point.measured === 'number' && typeof point.score === 'number'
		)
		.sort((a, b) => a.measured - b.measured);
}

/** The criteria that are part of the score, in the order in which they are sent. */
export function scored(typed: SchemeTyped): CriterionTyped[] {
	return typed.criteria.filter((entry) => entry.weight.trim() !== '');
}

export function schemeFrom(typed: SchemeTyped): { facts: SchemeFacts; faults: FieldFault[] } {
	const faults: FieldFault[] = [];
	if (typed.note.trim() === '') faults.push({ field: 'note', detail: 'Say what changes and why.' });
	const criteria = scored(typed).map((entry) => {
		const { criterion, name } = entry;
		const weight = numberFrom(entry.weight);
		if (typeof weight !== 'number' || weight <= 0)
			faults.push({
				field: `weight-${criterion}`,
				detail: `${name}: the weight is a number above 0, or empty to leave it out.`
			});
		const filled = entry.points.filter((p) => p.measured.trim() !== '' || p.score.trim() !== '');
		const points = pointsOf(entry);
		const fault = (detail: string) =>
			faults.push({ field: `points-${criterion}`, detail: `${name}: ${detail}` });
		if (points.length < filled.length || points.length < 2)
			fault('at least two points, each with a measured value and a score.');
		else if (points.some((point) => point.score < 0 || point.score > 100)) fault('scores lie from 0 to 100.');
		else if (new Set(points.map((point) => point.measured)).size < points.length)
			fault('each measured value only once.');
		return { criterion, weight: weight ?? 0, points };
	});
	if (criteria.length === 0) faults.push({ field: 'note', detail: 'At least one criterion needs a weight.' });
	return { facts: { note: typed.note.trim(), criteria }, faults };
}
