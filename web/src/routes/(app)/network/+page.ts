import { listClubs } from '$lib/clubs/calls';
import { getNetwork } from '$lib/network/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	if (!here.isCoordinator) return { network: undefined, clubs: [] };
	const [network, clubs] = await Promise.all([getNetwork(here.id), listClubs(here.id)]);
	return { network, clubs };
};
