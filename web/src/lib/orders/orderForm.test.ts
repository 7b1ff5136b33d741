import { expect, test } from 'vitest';
import type { Product } from '$lib/api/types';
import { orderFrom, typedOrder } from './orderForm';

const zone = 'Europe/London';
const sand: Product = {
	product_id: 'p',
	name: 'Sand',
	kind: 'sand',
	sold_by: 'tonne',
	unit_kg: 1000,
	vat_basis_points: 2000,
	note: '',
	version: 1
};

test('an empty order says what is needed', () => {
	const { faults } = orderFrom(typedOrder(undefined, zone), undefined, zone);
	expect(faults.map((f) => f.field)).toContain('price_breaks');
	expect(faults.map((f) => f.field)).toContain('closes_at');
});

test('a typed order becomes kilograms, pence and an instant', () => {
	const typed = {
		...typedOrder(undefined, zone),
		title: 'Autumn sand',
		product_id: 'p',
		supplier_id: 's',
		smallest: '20',
		breaks: [
			{ from: '58', price: '34.50' },
			{ from: '20', price: '38' },
			{ from: '', price: '' }
		],
		closes_on: '2027-07-01',
		closes_time: '18:00',
		delivery_from_on: '2027-07-10',
		delivery_until_on: '2027-07-12'
	};
	const { facts, faults } = orderFrom(typed, sand, zone);
	expect(faults).toEqual([]);
	expect(facts).toMatchObject({
		pack_kg: 1000,
		smallest_kg: 20000,
		vat_basis_points: 2000,
		price_breaks: [
			{ from_kg: 20000, price_pence: 3800 },
			{ from_kg: 58000, price_pence: 3450 }
		],
		closes_at: '2027-07-01T17:00:00Z'
	});
});
