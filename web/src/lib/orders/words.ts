/** What orders, their states and their steps are called. */
import type { OrderState, OrderStep, PooledOrder, ProductKind, SoldBy } from '$lib/api/types';
import type { Kind } from '$lib/look/Shape.svelte';
import { plainNumber } from '$lib/money/amounts';
import { moneyWords } from '$lib/money/money';

export const orderWords: Record<OrderState, { word: string; kind: Kind }> = {
	gathering: { word: 'Gathering', kind: 'go' },
	closed: { word: 'Closed', kind: 'wait' },
	placed: { word: 'Placed', kind: 'wait' },
	delivered: { word: 'Delivered', kind: 'done' },
	settled: { word: 'Settled', kind: 'done' },
	called_off: { word: 'Called off', kind: 'stop' }
};

export const productKindWords: Record<ProductKind, string> = {
	sand: 'Sand',
	seed: 'Seed',
	feed: 'Feed',
	other: 'Other'
};

/** What the coordinator does next, in each state. */
export const nextSteps: Record<OrderState, { step: OrderStep; act: string; why: string }[]> = {
	gathering: [],
	closed: [
		{
			step: 'place',
			act: 'Mark as placed',
			why: 'The supplier has the order and has said yes. Every club is told.'
		}
	],
	placed: [{ step: 'deliver', act: 'Mark as delivered', why: 'Every club has had its part.' }],
	delivered: [
		{
			step: 'settle',
			act: 'Mark as settled',
			why: 'The supplier’s invoice equals the sum below and is paid.'
		}
	],
	settled: [],
	called_off: []
};

export function mayCallOff(state: OrderState): boolean {
	return state === 'gathering' || state === 'closed';
}

/** "tonne" or "bag of 20 kg": what a price is for. */
export function unitWords(soldBy: SoldBy, unitKg: number): string {
	if (soldBy === 'bag') return `bag of ${plainNumber(unitKg)} kg`;
	return unitKg === 1000 ? 'tonne' : `${plainNumber(unitKg)} kg`;
}

/** "£34.50 per tonne". */
export function priceWords(pence: number, order: Pick<PooledOrder, 'product' | 'unit_kg'>): string {
	return `${moneyWords(pence)} per ${unitWords(order.product.sold_by, order.unit_kg)}`;
}

/** Whether what clubs owe is entered, or would only be owed if it closed now. */
export function isEntered(state: OrderState): boolean {
	return state !== 'gathering' && state !== 'called_off';
}
