import { listClubs } from '$lib/clubs/calls';
import { listHireShares } from '$lib/hire_shares/calls';
import { listShares } from '$lib/orders/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, url }) => {
	const { here } = await parent();
	const clubs = (here.isCoordinator ? await listClubs(here.id) : here.clubs)
		.filter((club) => here.may('see_money', club.club_id))
		.map(({ club_id, name }) => ({ club_id, name }));
	const own = clubs.find((club) => here.owns(club.club_id)) ?? clubs[0];
	const club = clubs.find((entry) => entry.club_id === url.searchParams.get('club')) ?? own;
	const [shares, hireShares] = club
		? await Promise.all([listShares(here.id, club.club_id), listHireShares(here.id, club.club_id)])
		: [[], []];
	return { clubs, club, shares: shares.filter((share) => share.club_id === club?.club_id), hireShares };
};
