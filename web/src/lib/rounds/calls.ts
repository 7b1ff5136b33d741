/** Plans of a round: asked for, tried, pinned, chosen. */
import { get, inNetwork, post, remove } from '$lib/api/client';
import type { PinFacts, PlannedRound, Trial } from '$lib/api/types';

const at = (n: string, round: string, ...parts: string[]) => inNetwork(n, 'rounds', round, ...parts);

export const getPlans = (n: string, round: string) => get<PlannedRound>(at(n, round, 'plans'));
export const askForPlans = (n: string, round: string, key: string) =>
	post<PlannedRound>(at(n, round, 'plans'), { key });
export const stopPlan = (n: string, round: string, plan: string) =>
	post<PlannedRound>(at(n, round, 'plans', plan, 'stop'), {});
export const choosePlan = (n: string, round: string, plan: string) =>
	post<PlannedRound>(at(n, round, 'plans', plan, 'choice'), {});
export const tryInPlan = (
	n: string,
	round: string,
	plan: string,
	body: { request_id: string; machine_id: string | null; half_day: string | null }
) => post<Trial>(at(n, round, 'plans', plan, 'trial'), { body });
export const pinRequest = (n: string, round: string, body: PinFacts, key: string) =>
	post<PlannedRound>(at(n, round, 'pins'), { body, key });
export const unpinRequest = (n: string, round: string, pin: string) =>
	remove<PlannedRound>(at(n, round, 'pins', pin));
