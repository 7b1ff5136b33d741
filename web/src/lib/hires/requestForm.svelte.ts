/** A club's wish for a place in a round, as it is being filled in, and what the work comes to on each machine. */
import type { FieldFault } from '$lib/api/error';
import { ApiError } from '$lib/api/error';
import type { Ground, PreviewedWork, RequestFacts, Round, RoundRequest } from '$lib/api/types';
import { numberFrom, typedNumber } from '$lib/look/numbers';
import { halfDayAt, wallOf, type HalfDay } from '$lib/time/halfdays';
import { daysOf, halvesOf } from './allowed';
import { previewRequest } from './calls';

const MAX_WISHES = 4;
/** The most minutes of setting up that are taken. */
const MOST_SET_UP = 240;
/** Typing settles for so long before it is reckoned with. */
const SETTLES_MS = 250;

export class RequestForm {
	clubId = $state('');
	groundId = $state('');
	pitchIds = $state<string[]>([]);
	need = $state(3);
	depth = $state('');
	setUp = $state('30');
	tractor = $state<'own' | 'neighbour'>('own');
	tractorKw = $state('');
	helperClubId = $state('');
	chosen = $state<HalfDay[]>([]);
	wishes = $state<string[]>([]);
	note = $state('');
	/** The work on each machine, the quickest first. */
	work = $state<PreviewedWork[]>([]);
	/** Why no block could ever fit, in one sentence; nothing when one could. */
	hindrance = $state<string | undefined>();
	reckoningError = $state<string | undefined>();
	readonly offered: HalfDay[];
	#networkId: string;
	#round: Round;
	#asked = 0;
	#settling: ReturnType<typeof setTimeout> | undefined;

	constructor(networkId: string, round: Round) {
		this.#networkId = networkId;
		this.#round = round;
		this.offered = halvesOf(round.machines.map((machine) => machine.span));
	}

	/** Takes over a request already made, or begins one for a ground. */
	begin(request: RoundRequest | undefined, ground: Ground | undefined): void {
		this.clubId = request?.club_id ?? ground?.club_id ?? '';
		this.groundId = request?.ground_id ?? ground?.ground_id ?? '';
		this.pitchIds = request?.pitches.map((pitch) => pitch.pitch_id) ?? [];
		this.need = request?.need ?? 3;
		this.depth = typedNumber(request?.depth_mm);
		this.setUp = String(request?.set_up_min ?? 30);
		this.tractor = request?.tractor ?? (ground && ground.tractor_kw === null ? 'neighbour' : 'own');
		this.tractorKw = typedNumber(request?.tractor_kw ?? ground?.tractor_kw);
		this.helperClubId = request?.helper_club_id ?? '';
		// A hire that moved may have left half-days behind.
		const asked = request?.half_days.map(halfDayAt) ?? [];
		this.chosen = asked.filter((half) => this.offered.includes(half));
		const days = daysOf(this.chosen);
		this.wishes = request?.wishes.filter((day) => days.includes(day)) ?? [];
		this.note = request?.note ?? '';
	}

	toggle(pitchId: string): void {
		this.pitchIds = this.pitchIds.includes(pitchId)
			? this.pitchIds.filter((id) => id !== pitchId)
			: [...this.pitchIds, pitchId];
	}

	/** Half-days on end that the quickest machine needs. */
	get shortest(): number | undefined {
		return this.work[0]?.half_days;
	}

	/** The minutes of setting up, as far as they are any. */
	get setUpMin(): number {
		const typed = numberFrom(this.setUp);
		const whole = typeof typed === 'number' && Number.isInteger(typed);
		return whole && typed >= 0 && typed <= MOST_SET_UP ? typed : 0;
	}

	/** Has what is filled in reckoned once the typing has settled. */
	reckonSoon(): void {
		clearTimeout(this.#settling);
		this.#settling = setTimeout(() => void this.reckon(), SETTLES_MS);
	}

	/** Asks what the ticked pitches come to, and whether they fit; only the last answer counts. */
	async reckon(): Promise<void> {
		this.#asked += 1;
		const asked = this.#asked;
		this.reckoningError = undefined;
		if (this.pitchIds.length === 0) return this.#take([], undefined);
		try {
			const found = await previewRequest(this.#networkId, this.#round.round_id, {
				club_id: this.clubId,
				pitch_ids: [...this.pitchIds],
				set_up_min: this.setUpMin,
				half_days: this.chosen.map(wallOf)
			});
			if (asked === this.#asked) this.#take(found.work, found.hindrance ?? undefined);
		} catch (cause) {
			if (asked !== this.#asked) return;
			this.#take([], undefined);
			this.reckoningError = cause instanceof ApiError ? cause.message : 'The time could not be reckoned.';
		}
	}

	#take(work: PreviewedWork[], hindrance: string | undefined): void {
		this.work = work;
		this.hindrance = hindrance;
	}

	/** What is sent, or what has to be put right first. */
	read(): { facts: RequestFacts; faults: FieldFault[] } {
		const faults: FieldFault[] = [];
		const fault = (field: string, detail: string) => faults.push({ field, detail });
		if (!this.groundId) fault('ground_id', 'At which ground is the work?');
		if (this.pitchIds.length === 0) fault('pitch_ids', 'Tick the pitches to be worked.');
		if (this.chosen.length === 0) fault('half_days', 'Tick at least one half-day on which it could be done.');
		else if (this.hindrance) fault('half_days', this.hindrance);
		const depth = numberFrom(this.depth);
		if (depth === undefined || (depth !== null && !Number.isInteger(depth)))
			fault('depth_mm', 'Depth: write whole millimetres, such as 250, or leave it empty.');
		const setUp = numberFrom(this.setUp);
		if (typeof setUp !== 'number' || !Number.isInteger(setUp) || setUp < 0 || setUp > MOST_SET_UP)
			fault('set_up_min', `Time to set up: write whole minutes from 0 to ${MOST_SET_UP}, such as 30.`);
		const kw = numberFrom(this.tractorKw);
		if (this.tractor === 'own' && (typeof kw !== 'number' || kw <= 0))
			fault('tractor_kw', 'Power of your tractor: write kilowatts, such as 34.');
		if (this.tractor === 'neighbour' && !this.helperClubId)
			fault('helper_club_id', 'Which neighbour lends you a tractor with its driver?');
		const facts: RequestFacts = {
			club_id: this.clubId,
			ground_id: this.groundId,
			pitch_ids: [...this.pitchIds],
			need: this.need,
			depth_mm: depth ?? null,
			set_up_min: setUp ?? 0,
			tractor: this.tractor,
			tractor_kw: this.tractor === 'own' ? (kw ?? null) : null,
			helper_club_id: this.tractor === 'neighbour' ? this.helperClubId || null : null,
			half_days: this.chosen.map(wallOf),
			wishes: this.wishes.slice(0, MAX_WISHES),
			note: this.note.trim()
		};
		return { facts, faults };
	}
}
