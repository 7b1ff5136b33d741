import { listGrounds, listPitches } from '$lib/clubs/calls';
import { getRound, listCrews, listRequests } from '$lib/hires/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	const [round, requests, grounds, pitches, crews] = await Promise.all([
		getRound(here.id, params.id),
		listRequests(here.id, params.id),
		listGrounds(here.id),
		listPitches(here.id),
		listCrews(here.id, params.id)
	]);
	const id = url.searchParams.get('request');
	const request = requests.find((entry) => entry.request_id === id);
	const asked = new Set(requests.filter((entry) => entry.state === 'asked').map((entry) => entry.ground_id));
	// A ground can ask once: those that have asked are changed, not asked for again.
	const free = grounds
		.filter((ground) => here.may('book', ground.club_id) && !asked.has(ground.ground_id))
		.sort(
			(a, b) =>
				Number(here.owns(b.club_id)) - Number(here.owns(a.club_id)) ||
				a.club_name.localeCompare(b.club_name, 'en-GB')
		);
	return {
		round,
		request,
		pitches,
		crews,
		everyGround: grounds,
		hasGround: grounds.some((ground) => here.may('book', ground.club_id)),
		grounds: request ? grounds.filter((ground) => ground.ground_id === request.ground_id) : free
	};
};
