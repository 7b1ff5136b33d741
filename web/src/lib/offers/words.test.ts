import { describe, expect, it } from 'vitest';
import type { OfferedPlace, Round, RoundOffers } from '$lib/api/types';
import {
	answerDate,
	coordinatorWords,
	journeyWords,
	pageAnswer,
	placeWords,
	stateOf,
	toRemind
} from './words';

const moment = { now: new Date('2027-04-27T10:00:00Z'), timeZone: 'Europe/London' };

const place = {
	offer_id: 'o1',
	round_id: 'r1',
	request_id: 'q1',
	club_id: 'c1',
	club_name: 'Tansyford RFC',
	ground_name: 'Gandergrass Lane',
	machine_id: 'm1',
	machine_name: 'Deep-tine aerator',
	span: { from: '2027-05-04T00:00:00', until: '2027-05-04T12:00:00' },
	comes_from: null,
	goes_to: 'Osier Field, Mardlebeck RUFC',
	lent_by: null,
	wish_rank: 1,
	expected_pence: 28198,
	state: 'offered',
	answer_by: '2027-04-30T19:00:00Z',
	answered_at: null,
	reason: '',
	reminded_at: null,
	booking_id: null,
	yours_to_answer: true
} satisfies OfferedPlace;

const offers = {
	round_id: 'r1',
	title: 'Deep tines',
	round_state: 'offered',
	to_offer: null,
	offers_on: true,
	refill_awaited: false,
	answer_by: '2027-04-30T19:00:00Z',
	outstanding: 2,
	accepted: 6,
	declined: 1,
	offers: []
} satisfies RoundOffers;

const lead = { clubs: 'Tansyford RFC', asked: true, coordinates: false, seesOffers: true };

describe('the words of offers', () => {
	it('says what is offered, for how much, and by when to answer', () => {
		expect(placeWords(place, true, moment)).toBe(
			'Tansyford RFC can have Deep-tine aerator Tue 4 May, morning, for about £281.98: answer by Fri 30 Apr, 20:00.'
		);
		expect(placeWords({ ...place, expected_pence: null }, true, moment)).toContain(
			'Tue 4 May, morning: answer'
		);
	});

	it('takes an offer past its date for lapsed, also before the server has come to it', () => {
		const late = { ...moment, now: new Date('2027-04-30T19:00:00Z') };
		expect(stateOf(place, late)).toBe('lapsed');
		expect(placeWords(place, true, late)).toBe(
			'The place for Tansyford RFC, Tue 4 May, morning, has lapsed: nobody answered by Fri 30 Apr, 20:00.'
		);
		expect(stateOf({ ...place, state: 'accepted' }, late)).toBe('accepted');
	});

	it('follows the machine from the club before to the club after, and to the ends of its journey', () => {
		const round = {
			machines: [{ machine_id: 'm1', hire_id: 'h1', kept_ground_id: null }],
			hires: [{ hire_id: 'h1', hauled_by: 'clubs', supplier_name: 'Ostlerby Plant Hire' }]
		} as unknown as Round;
		expect(journeyWords(place, round, [])).toBe(
			'It is fetched from the yard of Ostlerby Plant Hire; then it goes to Osier Field, Mardlebeck RUFC.'
		);
		const [hire] = round.hires;
		const brought = { ...round, hires: hire ? [{ ...hire, hauled_by: 'supplier' as const }] : [] };
		const between = { ...place, comes_from: 'Hurdle Field, Quagthorpe RFC', goes_to: null };
		expect(journeyWords(between, brought, [])).toBe(
			'It comes from Hurdle Field, Quagthorpe RFC; then Ostlerby Plant Hire collects it.'
		);
		expect(journeyWords({ ...place, goes_to: null }, brought, [])).toBe(
			'Ostlerby Plant Hire brings it; then the supplier collects it.'
		);
	});

	it('puts the own place first, and tells a club without one how it stands', () => {
		expect(pageAnswer(offers, [place], lead, moment)).toContain('Tansyford RFC can have');
		expect(pageAnswer(offers, [place, place], lead, moment)).toBe(
			'2 places for your club wait for an answer.'
		);
		expect(pageAnswer(offers, [], lead, moment)).toBe(
			'Tansyford RFC has no place in the plan; if another club declines, it may still be asked.'
		);
		expect(pageAnswer(offers, [], { ...lead, seesOffers: false }, moment)).toBe(
			'7 of 9 places are answered; the others can answer until Fri 30 Apr, 20:00.'
		);
	});

	it('tells the coordinator who is waited for', () => {
		expect(coordinatorWords(offers, moment)).toBe(
			'2 answers are outstanding; 6 places are accepted, 1 declined or lapsed.'
		);
		expect(coordinatorWords({ ...offers, accepted: 0, declined: 0 }, moment)).toBe(
			'No club has answered yet: all 2 can until Fri 30 Apr, 20:00.'
		);
		const to_offer = { plan_id: 'p', places: 9, first_begins: null };
		expect(coordinatorWords({ ...offers, round_state: 'requests_closed', to_offer }, moment)).toBe(
			'The chosen plan gives 9 places; no club has been told yet.'
		);
	});

	it('reminds nobody twice within twenty hours', () => {
		const reminded_at = '2027-04-26T15:00:00Z';
		expect(toRemind([place, { ...place, reminded_at }, { ...place, state: 'accepted' }], moment)).toEqual([
			place
		]);
	});

	it('proposes three days for the answers, and never the day of the first place', () => {
		expect(answerDate('2027-04-20', '2027-05-03T00:00:00')).toBe('2027-04-23');
		expect(answerDate('2027-05-01', '2027-05-03T00:00:00')).toBe('2027-05-02');
	});
});
