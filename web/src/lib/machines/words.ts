/** What machines, their charges and their bookings are called. */
import type { BookingState, ChargePart, Linkage, MachineKind, WhoMayBook } from '$lib/api/types';
import type { Kind } from '$lib/look/Shape.svelte';
import { moneyWords } from '$lib/money/money';

export const kindWords: Record<MachineKind, string> = {
	deep_tine_aerator: 'Deep-tine aerator',
	spiker: 'Spiker',
	slitter: 'Slitter',
	topdresser: 'Topdresser',
	seeder: 'Seeder',
	brush: 'Brush',
	mower: 'Mower',
	other: 'Other machine'
};

export const linkageWords: Record<Linkage, string> = {
	none: 'Drives itself',
	category_1: 'Three-point linkage, category 1',
	category_2: 'Three-point linkage, category 2',
	drawbar: 'Drawbar',
	pedestrian: 'Walked behind'
};

export const whoWords: Record<WhoMayBook, string> = {
	every_club: 'Every club of the network',
	owner_only: 'Only its owner',
	named_clubs: 'The clubs named'
};

export const bookingWords: Record<BookingState, { word: string; kind: Kind }> = {
	offered: { word: 'Offered', kind: 'wait' },
	asked: { word: 'Asked for', kind: 'wait' },
	agreed: { word: 'Booked', kind: 'done' },
	refused: { word: 'Refused', kind: 'stop' },
	cancelled: { word: 'Cancelled', kind: 'rest' },
	lapsed: { word: 'No longer held', kind: 'rest' }
};
/** A booking that stands, of a machine that is out of service. */
export const undecidedWord: { word: string; kind: Kind } = { word: 'Needs a decision', kind: 'wait' };

const partNames: Record<ChargePart['what'], [one: string, many: string]> = {
	half_day: ['half-day', 'half-days'],
	day: ['day', 'days'],
	use: ['use', 'uses']
};

/** "3 half-days × £40.00". */
export function partWords(part: ChargePart): string {
	const [one, many] = partNames[part.what];
	return `${part.count} ${part.count === 1 ? one : many} × ${moneyWords(part.unit_pence)}`;
}

/** "8.6 hours", "45 minutes". */
export function hourWords(hours: number): string {
	if (hours < 1) return `${Math.round(hours * 60)} minutes`;
	return `${hours.toLocaleString('en-GB', { maximumFractionDigits: 1 })} hours`;
}

export function halvesWords(halves: number): string {
	return halves === 1 ? '1 half-day' : `${halves} half-days`;
}
