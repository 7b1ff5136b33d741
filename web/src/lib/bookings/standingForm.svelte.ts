/** What is chosen for a standing booking: the first day and halves, how often, until when. */
import type { Span, StandingWish } from '$lib/api/types';
import { dayNumber, halfDayAt, halfDaysIn, spanOf } from '$lib/time/halfdays';
import { ruleOf, type Unit } from './rule';

export type Halves = 'morning' | 'afternoon' | 'day';

export class StandingForm {
	firstOn = $state('');
	halves = $state<Halves>('morning');
	every = $state(1);
	unit = $state<Unit>('week');
	endsBy = $state<'date' | 'times'>('date');
	untilOn = $state('');
	times = $state(6);
	clubId = $state('');
	pitchIds = $state<string[]>([]);
	note = $state('');

	constructor(clubId: string, wanted?: Span) {
		this.clubId = clubId;
		if (!wanted) return;
		this.firstOn = wanted.from.slice(0, 10);
		const afternoon = halfDayAt(wanted.from) % 2 === 1;
		this.halves = afternoon ? 'afternoon' : halfDaysIn(wanted) > 1 ? 'day' : 'morning';
	}

	/** The half-days of the first time. */
	get first(): Span | undefined {
		if (!this.firstOn) return undefined;
		const day = dayNumber(this.firstOn) * 2;
		return spanOf(this.halves === 'afternoon' ? day + 1 : day, this.halves === 'morning' ? day + 1 : day + 2);
	}

	/** What is sent, once the days are chosen. */
	wish(machineId: string): StandingWish | undefined {
		const first = this.first;
		if (!first || (this.endsBy === 'date' && !this.untilOn)) return undefined;
		const end = this.endsBy === 'date' ? { until: this.untilOn } : { times: this.times };
		return {
			machine_id: machineId,
			club_id: this.clubId,
			first,
			rule: ruleOf({ every: this.every, unit: this.unit, end }, this.firstOn),
			except_on: [],
			pitch_ids: this.pitchIds,
			note: this.note.trim()
		};
	}
}
