import { listGrounds } from '$lib/clubs/calls';
import { getPlanCosts } from '$lib/hire_shares/calls';
import { getRound, listRequests } from '$lib/hires/calls';
import { getOffers } from '$lib/offers/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [round, requests, offers, grounds] = await Promise.all([
		getRound(here.id, params.id),
		listRequests(here.id, params.id),
		getOffers(here.id, params.id),
		listGrounds(here.id)
	]);
	const costs = offers.to_offer ? await getPlanCosts(here.id, offers.to_offer.plan_id) : [];
	return { round, offers, grounds, costs, requests: requests.filter((each) => each.state === 'asked') };
};
