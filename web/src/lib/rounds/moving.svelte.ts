/** A club that is being moved in a plan: chosen, put somewhere, tried there, pinned. Nothing is kept until it is pinned. */
import { Sending } from '$lib/api/sending.svelte';
import type { PlannedRound, Trial } from '$lib/api/types';
import { wallOf, type HalfDay } from '$lib/time/halfdays';
import { askForPlans, pinRequest, tryInPlan } from './calls';

export interface Target {
	/** The half-day it would begin, as a wall time; empty for any it allows. */
	at: string;
	/** The machine; empty for any. */
	machineId: string;
}

export class Moving {
	readonly sending = new Sending();
	requestId = $state('');
	at = $state('');
	machineId = $state('');
	trial: Trial | undefined = $state();
	/** The place was changed while an answer was on its way: the answer is not for it. */
	#again = false;
	readonly #plan: () => { network: string; round: string; plan: string };

	constructor(plan: () => { network: string; round: string; plan: string }) {
		this.#plan = plan;
	}

	/** Takes a club up, or lays down the one that is. */
	choose(requestId: string): void {
		this.requestId = requestId;
		this.put({ at: '', machineId: '' });
	}

	put({ at, machineId }: Target): void {
		this.at = at;
		this.machineId = machineId;
		this.trial = undefined;
		if (this.sending.busy) this.#again = true;
	}

	/** Puts the club there and asks at once what that would cost. */
	async tryAt(half: HalfDay, machineId: string): Promise<void> {
		this.put({ at: wallOf(half), machineId });
		await this.try();
	}

	async try(): Promise<void> {
		if (!this.#isChosen()) return;
		if (this.sending.busy) return;
		do {
			this.#again = false;
			const { network, round, plan } = this.#plan();
			const body = {
				request_id: this.requestId,
				machine_id: this.machineId || null,
				half_day: this.at || null
			};
			const answered = await this.sending.run(() => tryInPlan(network, round, plan, body));
			if (!this.#again) this.trial = answered;
		} while (this.#again && this.at !== '');
	}

	/** Pins the club there, or keeps it from there; with `plans` the round is planned again around that. */
	async pin(kind: 'pin' | 'ban', plans: boolean): Promise<PlannedRound | undefined> {
		if (!this.#isChosen()) return undefined;
		const { network, round } = this.#plan();
		const facts = {
			request_id: this.requestId,
			kind,
			machine_id: this.machineId || null,
			half_day: this.at || null
		};
		const kept = await this.sending.run(
			(key) => pinRequest(network, round, facts, key),
			'Kept. Have the round planned again around it.'
		);
		if (!kept) return undefined;
		this.choose('');
		if (!plans) return kept;
		const asked = await this.sending.run((key) => askForPlans(network, round, key), 'Kept.');
		return asked ?? kept;
	}

	#isChosen(): boolean {
		if (this.requestId !== '') return true;
		this.sending.refuse('Choose a club first.', [{ field: 'request_id', detail: 'Which?' }]);
		return false;
	}
}
