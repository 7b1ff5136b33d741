import { listClubs } from '$lib/clubs/calls';
import { listOpenRounds } from '$lib/hires/calls';
import { listTurns } from '$lib/turns/calls';
import { standings } from '$lib/turns/words';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	const [clubs, turns, open] = await Promise.all([
		listClubs(here.id),
		listTurns(here.id),
		listOpenRounds(here.id)
	]);
	return { standings: standings(clubs, turns), open };
};
