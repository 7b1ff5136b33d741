/** Offered places and their answers, in words. Pure: "now" is always handed in. */
import type { Ground, OfferState, OfferedPlace, Round, RoundOffers } from '$lib/api/types';
import { counted } from '$lib/hires/words';
import type { Kind } from '$lib/look/Shape.svelte';
import { moneyWords } from '$lib/money/money';
import { addDays, spanWords } from '$lib/time/halfdays';
import { instantWords, todayIn } from '$lib/time/instants';

/** When it is, and where the clocks are read. */
export interface Moment {
	now: Date;
	timeZone: string;
}

export const answerWords: Record<OfferState, { word: string; kind: Kind }> = {
	offered: { word: 'No answer yet', kind: 'wait' },
	accepted: { word: 'Accepted', kind: 'go' },
	declined: { word: 'Declined', kind: 'stop' },
	lapsed: { word: 'Lapsed', kind: 'stop' },
	booked: { word: 'Booked', kind: 'done' },
	withdrawn: { word: 'Taken back', kind: 'rest' }
};

/** Past its date an offer is over, even where the server has not come to it yet. */
export function stateOf(offer: OfferedPlace, { now }: Moment): OfferState {
	return offer.state === 'offered' && new Date(offer.answer_by) <= now ? 'lapsed' : offer.state;
}

const when = (offer: OfferedPlace, { now, timeZone }: Moment) =>
	spanWords(offer.span, todayIn(timeZone, now));

/** "Tansyford RFC can have Deep-tine aerator Tue 4 May, morning, for about £281.98: answer by Fri 30 Apr, 20:00." */
export function placeWords(offer: OfferedPlace, offersOn: boolean, moment: Moment): string {
	const { club_name: club, machine_name: machine } = offer;
	const days = when(offer, moment);
	const by = instantWords(offer.answer_by, moment.timeZone, moment.now);
	const cost = offer.expected_pence === null ? '' : `, for about ${moneyWords(offer.expected_pence)}`;
	switch (stateOf(offer, moment)) {
		case 'offered':
			return `${club} can have ${machine} ${days}${cost}: answer by ${by}.`;
		case 'accepted':
			return `${club} has accepted ${machine}, ${days}; it is booked when all clubs have answered.`;
		case 'declined':
			return `${club} declined ${machine}, ${days}${offersOn ? '; another club is asked' : ''}.`;
		case 'lapsed':
			return `The place for ${club}, ${days}, has lapsed: nobody answered by ${by}.`;
		case 'booked':
			return `${club} has ${machine} ${days}: it is booked.`;
		case 'withdrawn':
			return `The coordinator took the place for ${club}, ${days}, back.`;
	}
}

/** What becomes of a place that is declined. */
export function declineWords(offersOn: boolean): string {
	return offersOn
		? 'The place is offered to another club at once, so a no cannot be taken back. It is not counted as your turn.'
		: 'The place goes to nobody else, and a no cannot be taken back. It is not counted as your turn.';
}

/** Which of its wishes a club would have. */
export function wishWords(rank: number | null): string {
	if (rank === null) return 'It is a day you allowed, none of those you liked best.';
	return `It is your ${['first', 'second', 'third', 'fourth'][rank - 1] ?? 'last'} choice.`;
}

/** How the machine comes and where it goes then: from club to club, or where the journey of the round begins and ends. */
export function journeyWords(offer: OfferedPlace, round: Round, grounds: Ground[]): string {
	const machine = round.machines.find((each) => each.machine_id === offer.machine_id);
	const hire = round.hires.find((each) => each.hire_id === machine?.hire_id);
	const home = hire
		? `the yard of ${hire.supplier_name}`
		: (grounds.find((ground) => ground.ground_id === machine?.kept_ground_id)?.name ?? 'where it is kept');
	const supplier = hire?.hauled_by === 'supplier' ? hire.supplier_name : undefined;
	const comes = offer.comes_from
		? `It comes from ${offer.comes_from}`
		: supplier
			? `${supplier} brings it`
			: `It is fetched from ${home}`;
	const goes = offer.goes_to
		? `then it goes to ${offer.goes_to}`
		: supplier
			? `then ${offer.comes_from ? supplier : 'the supplier'} collects it`
			: `then it goes back to ${home}`;
	return `${comes}; ${goes}.`;
}

/** Whose tractor and operator do the work. */
export function crewWords(offer: OfferedPlace): string {
	return offer.lent_by === null
		? 'Tractor and operator are your own.'
		: `${offer.lent_by} lends tractor and operator.`;
}

/** How the answers stand: for everybody, also those who see no place. */
export function roundWords(offers: RoundOffers, moment: Moment): string {
	const { accepted, declined, outstanding } = offers;
	switch (offers.round_state) {
		case 'gathering':
			return 'Nothing is offered yet: clubs can still ask for a place.';
		case 'requests_closed':
			return 'Nothing is offered yet: the coordinator plans the round.';
		case 'called_off':
			return `${offers.title} was called off: no place is on offer any more.`;
		case 'agreed':
		case 'finished':
			return `The round is agreed: ${counted(accepted, 'place is', 'places are')} booked.`;
		case 'offered': {
			const all = accepted + declined + outstanding;
			const done = `${accepted + declined} of ${counted(all, 'place is', 'places are')} answered`;
			if (outstanding > 0 && offers.answer_by !== null) {
				const by = instantWords(offers.answer_by, moment.timeZone, moment.now);
				return `${done}; the others can answer until ${by}.`;
			}
			if (offers.refill_awaited) return `${done}; what came free is being planned for other clubs.`;
			return `${done}: the bookings are being made.`;
		}
	}
}

/** The coordinator's question: what is there to do, and who is waited for. */
export function coordinatorWords(offers: RoundOffers, moment: Moment): string {
	const { to_offer: chosen, accepted, declined } = offers;
	if (offers.round_state === 'requests_closed') {
		return chosen === null
			? 'Nothing can be offered yet: choose a plan first.'
			: `The chosen plan gives ${counted(chosen.places, 'place', 'places')}; no club has been told yet.`;
	}
	if (offers.round_state !== 'offered') return roundWords(offers, moment);
	if (accepted + declined === 0 && offers.answer_by !== null) {
		const by = instantWords(offers.answer_by, moment.timeZone, moment.now);
		return `No club has answered yet: all ${offers.outstanding} can until ${by}.`;
	}
	const said = `${counted(accepted, 'place is', 'places are')} accepted, ${declined} declined or lapsed`;
	return offers.outstanding > 0
		? `${counted(offers.outstanding, 'answer is', 'answers are')} outstanding; ${said}.`
		: `All have answered: ${said}.`;
}

/** What a reader sees first: the own place, or how the round stands. */
export function pageAnswer(
	offers: RoundOffers,
	own: OfferedPlace[],
	{ clubs, asked, coordinates, seesOffers }: Reader,
	moment: Moment
): string {
	const open = own.filter((offer) => stateOf(offer, moment) === 'offered');
	const told = own.filter((offer) => !coordinates || stateOf(offer, moment) === 'offered');
	if (open.length > 1) return `${open.length} places for your club wait for an answer.`;
	const [first] = open.length === 1 ? open : told.slice(-1);
	if (first) return placeWords(first, offers.offers_on, moment);
	if (coordinates) return coordinatorWords(offers, moment);
	const whole = roundWords(offers, moment);
	if (!seesOffers || !asked) return whole;
	if (offers.round_state === 'offered') {
		const hope = offers.offers_on ? '; if another club declines, it may still be asked' : '';
		return `${clubs} has no place in the plan${hope}.`;
	}
	if (offers.round_state === 'agreed' || offers.round_state === 'finished') {
		return `There was no place for ${clubs}: that counts for it when the next round is planned.`;
	}
	return whole;
}

/** Who reads the page of offers. */
export interface Reader {
	/** The own clubs' names. */
	clubs: string;
	/** Whether one of them asked for a place. */
	asked: boolean;
	coordinates: boolean;
	/** Whether the reader is shown the club's offers at all. */
	seesOffers: boolean;
}

/** The day proposed for the answers: three days ahead, and before the day of the first place. */
export function answerDate(today: string, firstBegins: string | null): string {
	const ahead = addDays(today, 3);
	if (firstBegins === null) return ahead;
	const before = addDays(firstBegins, -1);
	return ahead < before ? ahead : before;
}

/** A club is reminded no more often than this; the server keeps to it too. */
const REMINDED_EVERY_MS = 20 * 3_600_000;

/** The places that a reminder now would go out for. */
export function toRemind(offers: OfferedPlace[], moment: Moment): OfferedPlace[] {
	const rests = (at: string | null) =>
		at !== null && Date.parse(at) + REMINDED_EVERY_MS > moment.now.getTime();
	return offers.filter((offer) => stateOf(offer, moment) === 'offered' && !rests(offer.reminded_at));
}
