import { getRound, listRequests } from '$lib/hires/calls';
import { getPlans } from '$lib/rounds/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [round, requests, planned] = await Promise.all([
		getRound(here.id, params.id),
		listRequests(here.id, params.id),
		getPlans(here.id, params.id)
	]);
	return { round, requests: requests.filter((request) => request.state === 'asked'), planned };
};
