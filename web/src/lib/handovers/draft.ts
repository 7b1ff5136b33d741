/** A handover being filled in: what is kept on the phone, checked when it is read back. Pure. */
import type { Direction, Handover, HandoverWish, Severity } from '$lib/api/types';
import { numberFrom, typedNumber } from '$lib/look/numbers';

/** Yes, no, not answered; `none` where the machine has no such thing. */
export type Answer = 'yes' | 'no' | 'none' | '';

export interface FaultDraft {
	/** Names the fault in the list; never sent. */
	id: string;
	severity: Severity | '';
	what: string;
	/** Photos kept beside the draft, by the id under which each is sent. */
	photos: string[];
}

export interface Draft {
	/** Minted here, so that sending twice can never sign twice. */
	handover_id: string;
	meter: string;
	meter_reason: string;
	tines: Answer;
	guards: Answer;
	washed: Answer;
	note: string;
	name: string;
	faults: FaultDraft[];
	/** When it was signed, if it was and could not be sent yet. */
	signed_at: string | null;
}

export function newDraft(id: string, name: string): Draft {
	return {
		handover_id: id,
		meter: '',
		meter_reason: '',
		tines: '',
		guards: '',
		washed: '',
		note: '',
		name,
		faults: [],
		signed_at: null
	};
}

/** To put a handover right: what was signed, to be changed where it is wrong. Its faults stand and are not told again. */
export function draftOf(signed: Handover, id: string, name: string): Draft {
	const yesNo = (yes: boolean) => (yes ? 'yes' : 'no');
	return {
		...newDraft(id, name),
		meter: typedNumber(signed.meter_h),
		meter_reason: signed.meter_reason,
		tines: signed.tines_sound === null ? 'none' : yesNo(signed.tines_sound),
		guards: yesNo(signed.guards_sound),
		washed: yesNo(signed.washed_down),
		note: signed.note
	};
}

/** Under which name a draft is kept: one for each way, and one for each handover that is put right. */
export function draftKey(
	networkId: string,
	bookingId: string,
	direction: Direction,
	counters: string | undefined
): string {
	return ['turfring.handover', networkId, bookingId, direction, counters].filter(Boolean).join('.');
}

/** Reads a kept draft; anything that is not one is as good as none. */
export function parseDraft(text: string | null): Draft | undefined {
	if (text === null) return undefined;
	try {
		const kept = JSON.parse(text) as Partial<Draft>;
		if (typeof kept.handover_id !== 'string' || !Array.isArray(kept.faults)) return undefined;
		return { ...newDraft(kept.handover_id, ''), ...kept };
	} catch {
		return undefined;
	}
}

/** Which way the machine passes next, and nothing when it has passed both ways. */
export function nextWay(handovers: Handover[]): Direction | undefined {
	const counts = standing(handovers);
	return (['out', 'in'] as const).find((way) => !counts.some((handover) => handover.direction === way));
}

/** The handovers that no other one puts right. */
export function standing(handovers: Handover[]): Handover[] {
	const countered = new Set(handovers.map((handover) => handover.counters));
	return handovers.filter((handover) => !countered.has(handover.handover_id));
}

/** Whether the meter, as typed, needs a word of explanation. */
export function needsReason(typed: string, last: number | null): boolean {
	if (last === null) return false;
	const value = numberFrom(typed);
	return typeof value !== 'number' || value < last;
}

export interface Fault {
	field: string;
	detail: string;
}

/** What is still missing before it can be signed; of one that puts another right, whose faults stand, less. */
export function missing(draft: Draft, last: number | null, counters = false): Fault[] {
	const faults: Fault[] = [];
	const need = (field: string, lacks: boolean, detail: string) => {
		if (lacks) faults.push({ field, detail });
	};
	const meter = numberFrom(draft.meter);
	need('meter_h', draft.meter.trim() !== '' && typeof meter !== 'number', 'Write the hours as a number.');
	const unexplained = needsReason(draft.meter, last) && draft.meter_reason.trim() === '';
	need('meter_reason', unexplained, 'Say why the meter stands lower, or cannot be read.');
	need('tines', draft.tines === '', 'Tines, blades or brushes: yes or no?');
	need('guards', draft.guards === '', 'Guards: yes or no?');
	need('washed', draft.washed === '', 'Washed down: yes or no?');
	const wrong = draft.guards === 'no' || draft.tines === 'no';
	need(
		'faults',
		wrong && draft.faults.length === 0 && !counters,
		'Say what is wrong with the guards or tines.'
	);
	for (const fault of draft.faults) {
		need(`what-${fault.id}`, fault.what.trim() === '', 'Say what is wrong in a few words.');
		need(`severity-${fault.id}`, fault.severity === '', 'Can it still be used?');
	}
	need('signed_name', draft.name.trim() === '', 'Sign with your name.');
	return faults;
}

/** What is sent. */
export function wishOf(
	draft: Draft,
	booking: string,
	direction: Direction,
	counters: string | null,
	now: string
): HandoverWish {
	const meter = numberFrom(draft.meter);
	return {
		handover_id: draft.handover_id,
		booking_id: booking,
		direction,
		counters,
		meter_h: typeof meter === 'number' ? meter : null,
		meter_reason: draft.meter_reason.trim(),
		tines_sound: draft.tines === 'none' ? null : draft.tines === 'yes',
		guards_sound: draft.guards === 'yes',
		washed_down: draft.washed === 'yes',
		note: draft.note.trim(),
		signed_name: draft.name.trim(),
		signed_at: draft.signed_at ?? now,
		faults: draft.faults.map((fault) => ({
			severity: fault.severity || 'usable',
			what: fault.what.trim(),
			photo_ids: [...fault.photos]
		}))
	};
}
