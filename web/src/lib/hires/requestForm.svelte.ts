/** A club's wish for a place in a round, as it is being filled in, and what the work comes to on each machine. */
import type { FieldFault } from '$lib/api/error';
import { ApiError } from '$lib/api/error';
import type { Ground, Reckoning, RequestFacts, Round, RoundRequest } from '$lib/api/types';
import { numberFrom, typedNumber } from '$lib/look/numbers';
import { getReckoning } from '$lib/machines/calls';
import { halfDayAt, wallOf, type HalfDay } from '$lib/time/halfdays';
import { halvesOf, longestStretch } from './allowed';

/** Working minutes of a slot: 4½ hours of a half-day, 9 of a day with its breaks taken off. */
const SLOT_MIN: Record<Round['grain'], number> = { half_days: 270, days: 540 };
const HALF_DAYS_A_SLOT: Record<Round['grain'], number> = { half_days: 1, days: 2 };
const MAX_WISHES = 4;

/** What the ticked pitches come to on one machine. */
export interface Workload {
	machineId: string;
	name: string;
	reckoning: Reckoning;
	/** Minutes of work with the setting up. */
	workMin: number;
	halfDays: number;
}

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
	reckonings = $state<{ machineId: string; name: string; reckoning: Reckoning }[]>([]);
	reckoningError = $state<string | undefined>();
	readonly offered: HalfDay[];
	#networkId: string;
	#round: Round;
	#asked = 0;

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
		this.chosen = request?.half_days.map(halfDayAt) ?? [];
		this.wishes = request?.wishes ?? [];
		this.note = request?.note ?? '';
	}

	toggle(pitchId: string): void {
		this.pitchIds = this.pitchIds.includes(pitchId)
			? this.pitchIds.filter((id) => id !== pitchId)
			: [...this.pitchIds, pitchId];
	}

	/** The work on each machine, shortest first. */
	get workloads(): Workload[] {
		const setUp = numberFrom(this.setUp) ?? 0;
		const grain = this.#round.grain;
		return this.reckonings
			.map(({ machineId, name, reckoning }) => {
				const workMin = Math.ceil(reckoning.hours * 60) + Math.max(setUp, 0);
				return {
					machineId,
					name,
					reckoning,
					workMin,
					halfDays: Math.ceil(workMin / SLOT_MIN[grain]) * HALF_DAYS_A_SLOT[grain]
				};
			})
			.sort((a, b) => a.workMin - b.workMin);
	}

	/** Half-days on end that the quickest machine needs. */
	get shortest(): number | undefined {
		return this.workloads[0]?.halfDays;
	}

	/** Why no block could ever fit, in one sentence; nothing when one could. */
	get hindrance(): string | undefined {
		const stretch = longestStretch(this.chosen);
		if (this.shortest === undefined || this.chosen.length === 0 || stretch >= this.shortest) return undefined;
		return `The work needs ${this.shortest} half-days on end; the longest stretch ticked is ${stretch}.`;
	}

	/** Asks what the ticked pitches come to; only the last answer counts. */
	async reckon(): Promise<void> {
		this.#asked += 1;
		const asked = this.#asked;
		this.reckoningError = undefined;
		if (this.pitchIds.length === 0) {
			this.reckonings = [];
			return;
		}
		try {
			const found = await Promise.all(
				this.#round.machines.map(async ({ machine_id, name }) => ({
					machineId: machine_id,
					name,
					reckoning: await getReckoning(
						this.#networkId,
						machine_id,
						this.clubId,
						this.pitchIds,
						this.#round.from_on
					)
				}))
			);
			if (asked === this.#asked) this.reckonings = found;
		} catch (cause) {
			if (asked !== this.#asked) return;
			this.reckonings = [];
			this.reckoningError = cause instanceof ApiError ? cause.message : 'The time could not be reckoned.';
		}
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
		if (typeof setUp !== 'number' || !Number.isInteger(setUp) || setUp < 0)
			fault('set_up_min', 'Time to set up: write whole minutes, such as 30.');
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
