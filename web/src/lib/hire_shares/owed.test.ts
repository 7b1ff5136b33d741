import type { HireShare, Share } from '$lib/api/types';
import { describe, expect, it } from 'vitest';
import { allOwed, owedAnswer, sumOf } from './owed';

const order = (order_state: Share['order_state'], total_pence: number) =>
	({ order_id: 'o', title: 'Sand', entered_at: '2027-04-01T10:00:00Z', order_state, total_pence }) as Share;
const hire = (settled_at: string | null) =>
	({
		statement_id: 's',
		club_id: 'c',
		round_id: 'r',
		round_title: 'May',
		machine_name: 'Aerator',
		entered_at: '2027-05-20T10:00:00Z',
		owes_pence: 28_250,
		settled_at
	}) as HireShare;

describe('what a club owes', () => {
	it('is never said to be nothing while a hire is owed', () => {
		expect(owedAnswer('Ashby', allOwed([], [hire(null)]))).toBe(
			'Ashby owes £282.50 for a hire not yet settled.'
		);
	});
	it('adds orders and hires up, the last entered first', () => {
		const owed = allOwed([order('placed', 113_000), order('settled', 5)], [hire(null)]);
		expect(owedAnswer('Ashby', owed)).toBe(
			'Ashby owes £1,412.50: £1,130.00 for an order and £282.50 for a hire.'
		);
		expect(owed[0]?.what).toBe('hire');
	});
	it('is nothing when all is settled or called off', () => {
		const owed = allOwed([order('settled', 500), order('called_off', 700)], [hire('2027-06-01T10:00:00Z')]);
		expect(owedAnswer('Ashby', owed)).toBe('Ashby owes nothing at the moment.');
		expect(sumOf(owed)).toBe(28_750);
	});
});
