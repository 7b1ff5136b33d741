import { listGrounds } from '$lib/clubs/calls';
import { getRound, listRequests } from '$lib/hires/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [round, requests, grounds] = await Promise.all([
		getRound(here.id, params.id),
		listRequests(here.id, params.id),
		listGrounds(here.id)
	]);
	return { round, requests, grounds };
};
