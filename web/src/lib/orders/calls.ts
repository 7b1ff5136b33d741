/** Pooled orders, their lines and steps, and the shares that come of them. */
import { all, get, inNetwork, post, put, remove } from '$lib/api/client';
import type { OrderStep, PooledOrder, PriceBreak, Share } from '$lib/api/types';

export interface OrderFacts {
	title: string;
	product_id: string;
	supplier_id: string;
	pack_kg: number;
	vat_basis_points: number;
	smallest_kg: number;
	price_breaks: PriceBreak[];
	closes_at: string;
	delivery_from_on: string;
	delivery_until_on: string;
	note: string;
}

const order = (n: string, ...parts: string[]) => inNetwork(n, 'pooled-orders', ...parts);

export const listOrders = (n: string) => all<PooledOrder>(order(n));
export const getOrder = (n: string, id: string) => get<PooledOrder>(order(n, id));
export const createOrder = (n: string, body: OrderFacts, key: string) =>
	post<PooledOrder>(order(n), { body, key });
export const changeOrder = (n: string, id: string, body: OrderFacts, version: number) =>
	put<PooledOrder>(order(n, id), { body, version });

export const setLine = (n: string, id: string, clubId: string, quantity_kg: number) =>
	put<PooledOrder>(order(n, id, 'lines', clubId), { body: { quantity_kg } });
export const takeLineBack = (n: string, id: string, clubId: string) =>
	remove<PooledOrder>(order(n, id, 'lines', clubId));
export const takeStep = (n: string, id: string, step: OrderStep, reason: string) =>
	post<PooledOrder>(order(n, id, 'steps'), { body: { step, ...(reason ? { reason } : {}) } });

export const listShares = (n: string, clubId?: string) =>
	all<Share>(inNetwork(n, 'shares'), { club_id: clubId });
