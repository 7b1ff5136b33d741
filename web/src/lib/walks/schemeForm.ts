/** A scoring scheme as typed, and as sent. Pure. */
import type { FieldFault } from '$lib/api/error';
import type { Scheme } from '$lib/api/types';
import { numberFrom, typedNumber } from '$lib/look/numbers';
import type { SchemeFacts } from './calls';

export interface CriterionTyped {
	criterion: string;
	name: string;
	unit: string;
	weight: string;
	points: { measured: string; score: string }[];
}
export interface SchemeTyped {
	note: string;
	criteria: CriterionTyped[];
}

export function typedScheme(scheme: Scheme): SchemeTyped {
	return {
		note: '',
		criteria: scheme.criteria.map(({ criterion, name, unit, weight, points }) => ({
			criterion,
			name,
			unit,
			weight: typedNumber(weight),
			points: points.map((point) => ({
				measured: typedNumber(point.measured),
				score: typedNumber(point.score)
			}))
		}))
	};
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

export function schemeFrom(typed: SchemeTyped): { facts: SchemeFacts; faults: FieldFault[] } {
	const faults: FieldFault[] = [];
	if (typed.note.trim() === '') faults.push({ field: 'note', detail: 'Say what changes and why.' });
	const criteria = typed.criteria.map((entry) => {
		const weight = numberFrom(entry.weight);
		if (typeof weight !== 'number' || weight < 0)
			faults.push({
				field: `weight-${entry.criterion}`,
				detail: `${entry.name}: the weight is a number from 0 up.`
			});
		const filled = entry.points.filter((p) => p.measured.trim() !== '' || p.score.trim() !== '');
		const points = pointsOf(entry);
		if (points.length < filled.length || points.length < 2)
			faults.push({
				field: `points-${entry.criterion}`,
				detail: `${entry.name}: at least two points, each with a measured value and a score.`
			});
		else if (points.some((point) => point.score < 0 || point.score > 100))
			faults.push({ field: `points-${entry.criterion}`, detail: `${entry.name}: scores lie from 0 to 100.` });
		else if (new Set(points.map((point) => point.measured)).size < points.length)
			faults.push({
				field: `points-${entry.criterion}`,
				detail: `${entry.name}: each measured value only once.`
			});
		return { criterion: entry.criterion, weight: weight ?? 0, points };
	});
	if (faults.length === 0 && criteria.every((entry) => entry.weight === 0))
		faults.push({ field: 'note', detail: 'At least one criterion needs a weight above 0.' });
	return { facts: { note: typed.note.trim(), criteria }, faults };
}
