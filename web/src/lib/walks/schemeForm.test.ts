import { expect, test } from 'vitest';
import type { Criterion, Scheme } from '$lib/api/types';
import { schemeFrom, typedScheme } from './schemeForm';

const scheme: Scheme = {
	version: 1,
	note: 'first',
	criteria: [
		{
			criterion: 'root_depth',
			name: 'Root depth',
			unit: 'mm',
			weight: 2,
			points: [
				{ measured: 0, score: 0 },
				{ measured: 150, score: 100 }
			]
		}
	]
};

test('a scheme comes back as it was, with a reason', () => {
	const typed = { ...typedScheme(scheme, []), note: 'Deeper roots count more' };
	expect(schemeFrom(typed)).toEqual({
		faults: [],
		facts: {
			note: 'Deeper roots count more',
			criteria: [{ criterion: 'root_depth', weight: 2, points: scheme.criteria[0]?.points }]
		}
	});
});

test('what cannot be scored is refused with its place', () => {
	const typed = typedScheme(scheme, []);
	typed.criteria[0]?.points.push({ measured: '150', score: '' });
	expect(schemeFrom(typed).faults.map((f) => f.field)).toEqual(['note', 'points-root_depth']);
	const again = { ...typedScheme(scheme, []), note: 'x' };
	again.criteria[0]?.points.push({ measured: '200', score: '120' });
	expect(schemeFrom(again).faults[0]?.detail).toBe('Root depth: scores lie from 0 to 100.');
});

test('a criterion without a weight is left out, and can be taken in', () => {
	const more: Pick<Criterion, 'criterion' | 'name' | 'unit'>[] = [
		{ criterion: 'root_depth', name: 'Root depth', unit: 'mm' },
		{ criterion: 'hardness', name: 'Hardness', unit: 'g' }
	];
	const typed = { ...typedScheme(scheme, more), note: 'x' };
	expect(typed.criteria.map((entry) => [entry.criterion, entry.weight])).toEqual([
		['root_depth', '2'],
		['hardness', '']
	]);
	expect(schemeFrom(typed).facts.criteria).toHaveLength(1);
	const none = { ...typed, criteria: typed.criteria.map((entry) => ({ ...entry, weight: '' })) };
	expect(schemeFrom(none).faults.map((f) => f.detail)).toEqual(['At least one criterion needs a weight.']);
});
