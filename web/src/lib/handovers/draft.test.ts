import { describe, expect, test } from 'vitest';
import type { Handover } from '$lib/api/types';
import { draftOf, missing, needsReason, newDraft, nextWay, parseDraft, standing, wishOf } from './draft';

const handover = (id: string, direction: 'out' | 'in', counters: string | null = null) =>
	({ handover_id: id, direction, counters }) as Handover;

describe('which way a machine passes next', () => {
	test('out first, then in, then neither', () => {
		expect(nextWay([])).toBe('out');
		expect(nextWay([handover('a', 'out')])).toBe('in');
		expect(nextWay([handover('b', 'in'), handover('a', 'out')])).toBeUndefined();
	});

	test('what was countered no longer counts', () => {
		const all = [handover('b', 'out', 'a'), handover('a', 'out')];
		expect(standing(all).map((one) => one.handover_id)).toEqual(['b']);
	});
});

test('a meter that stands lower or was not read needs a reason, where one was read before', () => {
	expect(needsReason('', null)).toBe(false);
	expect(needsReason('', 120)).toBe(true);
	expect(needsReason('119.9', 120)).toBe(true);
	expect(needsReason('120', 120)).toBe(false);
});

test('a draft says everything that is still missing', () => {
	const draft = newDraft('id', '');
	expect(missing(draft, 10).map((fault) => fault.field)).toEqual([
		'meter_reason',
		'tines',
		'guards',
		'washed',
		'signed_name'
	]);
	const wrong = { ...newDraft('id', 'Jo'), meter: '11', tines: 'none', guards: 'no', washed: 'yes' } as const;
	expect(missing({ ...wrong }, 10).map((fault) => fault.field)).toEqual(['faults']);
});

test('what is put right begins as it was signed, and its faults are not told again', () => {
	const signed = {
		...handover('a', 'in'),
		meter_h: 1205,
		meter_reason: '',
		tines_sound: null,
		guards_sound: false,
		washed_down: true,
		note: 'wet'
	} as Handover;
	const draft = draftOf(signed, 'b', 'Jo');
	expect(draft).toMatchObject({
		handover_id: 'b',
		meter: '1205',
		tines: 'none',
		guards: 'no',
		washed: 'yes'
	});
	expect(missing(draft, null, true)).toEqual([]);
});

test('what is sent is what was answered, with the time of the signing', () => {
	const draft = {
		...newDraft('id', ' Jo '),
		meter: '11.5',
		tines: 'none',
		guards: 'yes',
		washed: 'no'
	} as const;
	const now = '2027-05-04T10:00:00Z';
	const sent = wishOf({ ...draft, signed_at: '2027-05-04T09:00:00Z' }, 'b', 'in', null, now);
	expect(sent).toMatchObject({ meter_h: 11.5, tines_sound: null, guards_sound: true, washed_down: false });
	expect(sent).toMatchObject({ signed_name: 'Jo', signed_at: '2027-05-04T09:00:00Z', direction: 'in' });
});

test('a kept draft is read back, and anything else is none', () => {
	const draft = { ...newDraft('id', 'Jo'), note: 'wet' };
	expect(parseDraft(JSON.stringify(draft))).toEqual(draft);
	for (const text of [null, '', '{}', '[]', 'null', '{"handover_id":1}']) {
		expect(parseDraft(text)).toBeUndefined();
	}
});
