/** What needs me. */
import { get, inNetwork } from '$lib/api/client';
import type { Need } from '$lib/api/types';

export const listNeeds = async (networkId: string) =>
	(await get<{ items: Need[] }>(inNetwork(networkId, 'needs'))).items;
