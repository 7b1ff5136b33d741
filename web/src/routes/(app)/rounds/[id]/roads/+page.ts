import { getRound, listDepotRoads, listRoads } from '$lib/hires/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	const from = url.searchParams.get('from') ?? '';
	const [round, roads, depotRoads, narrowed] = await Promise.all([
		getRound(here.id, params.id),
		listRoads(here.id, params.id),
		listDepotRoads(here.id, params.id),
		from === '' ? undefined : listRoads(here.id, params.id, from)
	]);
	return { round, roads, depotRoads, from, shown: narrowed ?? roads };
};
