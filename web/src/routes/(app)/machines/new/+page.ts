import { listClubs } from '$lib/clubs/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	const clubs = here.isCoordinator
		? await listClubs(here.id)
		: here.clubs.filter((club) => here.may('look_after_club', club.club_id));
	return { clubs: clubs.map(({ club_id, name }) => ({ club_id, name })) };
};
