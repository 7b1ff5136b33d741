/** The state of booking a machine: which club and pitches, what the work comes to, when, and what it will cost. */
import type { Charge, Pitch, Reckoning, Span } from '$lib/api/types';
import { ApiError } from '$lib/api/error';
import { getCharge, getReckoning } from './calls';

export class BookingForm {
	clubId = $state('');
	pitchIds = $state<string[]>([]);
	span = $state<Span | undefined>();
	note = $state('');
	reckoning = $state<Reckoning | undefined>();
	reckoningBusy = $state(false);
	reckoningError = $state<string | undefined>();
	charge = $state<Charge | undefined>();
	chargeError = $state<string | undefined>();
	#networkId: string;
	#machineId: string;
	#asked = 0;
	#priced = 0;

	constructor(networkId: string, machineId: string) {
		this.#networkId = networkId;
		this.#machineId = machineId;
	}

	toggle(pitchId: string): void {
		this.pitchIds = this.pitchIds.includes(pitchId)
			? this.pitchIds.filter((id) => id !== pitchId)
			: [...this.pitchIds, pitchId];
	}

	ownPitches(pitches: Pitch[]): Pitch[] {
		return pitches.filter((pitch) => pitch.club_id === this.clubId);
	}

	/** Asks the server what the ticked pitches come to; only the last answer counts. */
	async reckon(from: string): Promise<void> {
		this.#asked += 1;
		const asked = this.#asked;
		this.reckoningError = undefined;
		if (this.pitchIds.length === 0) {
			this.reckoning = undefined;
			this.reckoningBusy = false;
			return;
		}
		this.reckoningBusy = true;
		try {
			const found = await getReckoning(this.#networkId, this.#machineId, this.clubId, this.pitchIds, from);
			if (asked === this.#asked) this.reckoning = found;
		} catch (cause) {
			if (asked === this.#asked) {
				this.reckoning = undefined;
				this.reckoningError = wordsOf(cause);
			}
		} finally {
			if (asked === this.#asked) this.reckoningBusy = false;
		}
	}

	/** Asks what the chosen time costs, so that nobody presses without knowing. */
	async price(): Promise<void> {
		this.#priced += 1;
		const priced = this.#priced;
		this.charge = undefined;
		this.chargeError = undefined;
		if (!this.span) return;
		try {
			const found = await getCharge(this.#networkId, this.#machineId, this.span);
			if (priced === this.#priced) this.charge = found;
		} catch (cause) {
			if (priced === this.#priced) this.chargeError = wordsOf(cause);
		}
	}
}

function wordsOf(cause: unknown): string {
	return cause instanceof ApiError ? cause.message : 'Something went wrong. Try again.';
}
