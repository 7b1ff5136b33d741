/** All a club owes, for orders and hires together. */
import type { HireShare, Share } from '$lib/api/types';
import type { Kind } from '$lib/look/Shape.svelte';
import { moneyWords } from '$lib/money/money';
import { orderWords } from '$lib/orders/words';

/** Something a club owes, has paid, or no longer owes. */
export interface Owed {
	key: string;
	what: 'order' | 'hire';
	title: string;
	href: string;
	entered_at: string;
	state: { word: string; kind: Kind };
	open: boolean;
	calledOff: boolean;
	pence: number;
}

/** Orders and hires in one list, the last entered first. */
export function allOwed(shares: Share[], hireShares: HireShare[]): Owed[] {
	const ofOrders = shares.map((share) => ({
		key: share.order_id + share.entered_at,
		what: 'order' as const,
		title: share.title,
		href: `/orders/${share.order_id}`,
		entered_at: share.entered_at,
		state: orderWords[share.order_state],
		open: share.order_state !== 'settled' && share.order_state !== 'called_off',
		calledOff: share.order_state === 'called_off',
		pence: share.total_pence
	}));
	const ofHires = hireShares.map((share) => ({
		key: share.statement_id + share.club_id,
		what: 'hire' as const,
		title: `${share.machine_name}, ${share.round_title}`,
		href: `/rounds/${share.round_id}/shares`,
		entered_at: share.entered_at,
		state: share.settled_at
			? { word: 'Settled', kind: 'done' as const }
			: { word: 'To pay', kind: 'wait' as const },
		open: share.settled_at === null,
		calledOff: false,
		pence: share.owes_pence
	}));
	return [...ofOrders, ...ofHires].sort((one, other) => other.entered_at.localeCompare(one.entered_at));
}

/** What it comes to together; what was called off is owed by nobody. */
export function sumOf(owed: Owed[]): number {
	return owed.filter((each) => !each.calledOff).reduce((sum, each) => sum + each.pence, 0);
}

/** "Tansyford RFC owes £1,412.50: £1,130.00 for orders and £282.50 for hires." */
export function owedAnswer(club: string, owed: Owed[]): string {
	const open = owed.filter((each) => each.open);
	if (open.length === 0) return `${club} owes nothing at the moment.`;
	const of = (what: Owed['what']) => open.filter((each) => each.what === what);
	const [orders, hires] = [of('order'), of('hire')];
	const named = (rows: Owed[], one: string, many: string) => `for ${rows.length === 1 ? one : many}`;
	const total = `${club} owes ${moneyWords(sumOf(open))}`;
	if (hires.length === 0) return `${total} ${named(orders, 'an order', 'orders')} not yet settled.`;
	if (orders.length === 0) return `${total} ${named(hires, 'a hire', 'hires')} not yet settled.`;
	return `${total}: ${moneyWords(sumOf(orders))} ${named(orders, 'an order', 'orders')} and ${moneyWords(sumOf(hires))} ${named(hires, 'a hire', 'hires')}.`;
}
