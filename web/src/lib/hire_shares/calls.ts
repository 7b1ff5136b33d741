/** What hires cost, who pays what of them, and what a machine was used for. */
import { all, get, inNetwork, post } from '$lib/api/client';
import type { HireCosts, HireShare, MachineWorth, ShareRule } from '$lib/api/types';

export interface EnterHireShares {
	invoice_pence: number;
	rule: ShareRule;
	fund_carries: boolean;
	counters: string | null;
	note: string;
}

export const getHireCosts = (n: string, hireId: string) =>
	get<HireCosts>(inNetwork(n, 'hires', hireId, 'costs'));
/** As it would be shared if the supplier asked so much. */
export const tryInvoice = (n: string, hireId: string, invoicePence: number) =>
	get<HireCosts>(`${inNetwork(n, 'hires', hireId, 'costs')}?invoice_pence=${invoicePence}`);
export const getPlanCosts = (n: string, planId: string) =>
	get<HireCosts[]>(inNetwork(n, 'plans', planId, 'costs'));
export const enterHireShares = (n: string, hireId: string, body: EnterHireShares, key: string) =>
	post<HireCosts>(inNetwork(n, 'hires', hireId, 'shares'), { body, key });
export const settleHire = (n: string, hireId: string, statementId: string, key: string) =>
	post<HireCosts>(inNetwork(n, 'hires', hireId, 'settlement'), { body: { statement_id: statementId }, key });
export const listHireShares = (n: string, clubId?: string) =>
	all<HireShare>(inNetwork(n, 'hire-shares'), { club_id: clubId });

export interface WorthQuestion {
	season: number | undefined;
	price_pence: number | undefined;
	years: number | undefined;
}

export const getMachineWorth = (n: string, machineId: string, question: WorthQuestion) => {
	const asked = Object.entries(question).filter(([, value]) => value !== undefined);
	const query = new URLSearchParams(asked.map(([name, value]) => [name, String(value)])).toString();
	return get<MachineWorth>(`${inNetwork(n, 'machines', machineId, 'worth')}${query ? `?${query}` : ''}`);
};
