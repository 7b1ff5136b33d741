/** Re-plans of agreed rounds. */
import { get, inNetwork, post } from '$lib/api/client';
import type { Replan } from '$lib/api/types';

export const getReplan = (n: string, round: string) => get<Replan>(inNetwork(n, 'rounds', round, 'replan'));
export const acceptReplan = (n: string, round: string, plan: string, key: string) =>
	post<Replan>(inNetwork(n, 'rounds', round, 'plans', plan, 'acceptance'), { key });
