/** A pooled order as typed, and as sent. Pure. */
import type { FieldFault } from '$lib/api/error';
import type { PooledOrder, Product } from '$lib/api/types';
import { kgFrom, typedFrom } from '$lib/money/amounts';
import { penceFrom } from '$lib/money/money';
import { instantAt, wallClock } from '$lib/time/instants';
import type { OrderFacts } from './calls';

export interface OrderTyped {
	title: string;
	product_id: string;
	supplier_id: string;
	pack: string;
	vat: string;
	smallest: string;
	breaks: { from: string; price: string }[];
	closes_on: string;
	closes_time: string;
	delivery_from_on: string;
	delivery_until_on: string;
	note: string;
}

export function typedOrder(order: PooledOrder | undefined, timeZone: string): OrderTyped {
	if (!order) {
		return {
			title: '',
			product_id: '',
			supplier_id: '',
			pack: '1',
			vat: '20',
			smallest: '',
			breaks: [
				{ from: '0', price: '' },
				{ from: '', price: '' }
			],
			closes_on: '',
			closes_time: '20:00',
			delivery_from_on: '',
			delivery_until_on: '',
			note: ''
		};
	}
	const count = (kg: number) => typedFrom(kg, order.product.sold_by, order.unit_kg);
	const closes = wallClock(new Date(order.closes_at), timeZone);
	return {
		title: order.title,
		product_id: order.product.product_id,
		supplier_id: order.supplier.supplier_id,
		pack: count(order.pack_kg),
		vat: String(order.vat_basis_points / 100),
		smallest: order.smallest_kg > 0 ? count(order.smallest_kg) : '',
		breaks: order.price_breaks.map((step) => ({
			from: count(step.from_kg),
			price: (step.price_pence / 100).toFixed(2)
		})),
		closes_on: closes.date,
		closes_time: closes.time,
		delivery_from_on: order.delivery_from_on,
		delivery_until_on: order.delivery_until_on,
		note: order.note
	};
}

/** What is sent, or what has to be put right first. */
export function orderFrom(
	typed: OrderTyped,
	product: Product | undefined,
	timeZone: string
): { facts: OrderFacts; faults: FieldFault[] } {
	const faults: FieldFault[] = [];
	const need = (field: string, value: string, detail: string) => {
		if (value.trim() === '') faults.push({ field, detail });
	};
	need('title', typed.title, 'Give the order a title.');
	need('product_id', typed.product_id, 'Choose what is ordered.');
	need('supplier_id', typed.supplier_id, 'Choose the supplier.');
	const kg = (text: string, least = 1) =>
		product ? kgFrom(text, product.sold_by, product.unit_kg, least) : undefined;

	const pack_kg = kg(typed.pack);
	if (pack_kg === undefined) faults.push({ field: 'pack_kg', detail: 'Steps: write a number above zero.' });
	const smallest_kg = typed.smallest.trim() === '' ? 0 : kg(typed.smallest);
	if (smallest_kg === undefined)
		faults.push({ field: 'smallest_kg', detail: 'Smallest total: write a number, or leave it empty.' });
	const vat = /^\d+(\.\d{1,2})?$/.test(typed.vat.trim()) ? Math.round(Number(typed.vat) * 100) : undefined;
	if (vat === undefined)
		faults.push({ field: 'vat_basis_points', detail: 'VAT: write per cent, such as 20.' });

	const price_breaks = typed.breaks
		.filter((step) => step.from.trim() !== '' || step.price.trim() !== '')
		.map((step) => ({ from_kg: kg(step.from, 0), price_pence: penceFrom(step.price) }));
	if (
		price_breaks.length === 0 ||
		price_breaks.some((s) => s.from_kg === undefined || s.price_pence === undefined)
	)
		faults.push({ field: 'price_breaks', detail: 'Prices: each needs a quantity and an amount of money.' });

	need('closes_at', typed.closes_on && typed.closes_time, 'When does it close?');
	need('delivery_from_on', typed.delivery_from_on, 'From which day is it delivered?');
	need('delivery_until_on', typed.delivery_until_on, 'Until which day is it delivered?');
	const facts = {
		title: typed.title.trim(),
		product_id: typed.product_id,
		supplier_id: typed.supplier_id,
		pack_kg: pack_kg ?? 0,
		vat_basis_points: vat ?? 0,
		smallest_kg: smallest_kg ?? 0,
		price_breaks: price_breaks
			.map((step) => ({ from_kg: step.from_kg ?? 0, price_pence: step.price_pence ?? 0 }))
			.sort((a, b) => a.from_kg - b.from_kg),
		closes_at: typed.closes_on ? instantAt(typed.closes_on, typed.closes_time || '00:00', timeZone) : '',
		delivery_from_on: typed.delivery_from_on,
		delivery_until_on: typed.delivery_until_on,
		note: typed.note.trim()
	};
	return { facts, faults };
}
