import { getHireCosts } from '$lib/hire_shares/calls';
import { getRound } from '$lib/hires/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const round = await getRound(here.id, params.id);
	const costs = await Promise.all(round.hires.map((hire) => getHireCosts(here.id, hire.hire_id)));
	return { round, costs };
};
