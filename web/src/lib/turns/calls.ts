/** Turns: who had which days in rounds, and who went without. */
import { get, inNetwork } from '$lib/api/client';
import type { ClubTurns } from '$lib/api/types';

/** Only clubs that asked in a round which was agreed; every other club stands at 0. */
export const listTurns = (n: string) => get<ClubTurns[]>(inNetwork(n, 'turns'));
