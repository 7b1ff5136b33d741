import { getWalk, listCriteria } from '$lib/walks/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [walk, criteria] = await Promise.all([getWalk(here.id, params.id), listCriteria(here.id)]);
	return { walk, names: Object.fromEntries(criteria.map((entry) => [entry.criterion, entry.name])) };
};
