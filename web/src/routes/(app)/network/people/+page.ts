import { listClubs } from '$lib/clubs/calls';
import { listInvitations, listPeople } from '$lib/network/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	if (!here.isCoordinator) return { people: [], invitations: [], clubs: [] };
	const [people, invitations, clubs] = await Promise.all([
		listPeople(here.id),
		listInvitations(here.id),
		listClubs(here.id)
	]);
	return { people, invitations, clubs: clubs.map(({ club_id, name }) => ({ club_id, name })) };
};
