import { listClubs } from '$lib/clubs/calls';
import { getRound, listCrews, listRequests } from '$lib/hires/calls';
import { crewsOfAll } from '$lib/hires/crews';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [round, clubs, said, requests] = await Promise.all([
		getRound(here.id, params.id),
		listClubs(here.id),
		listCrews(here.id, params.id),
		listRequests(here.id, params.id)
	]);
	const asked = requests.filter((request) => request.state === 'asked');
	return { round, crews: crewsOfAll(clubs, said, asked) };
};
