import { getClub, listGrounds, listPitches } from '$lib/clubs/calls';
import { listClosures } from '$lib/closures/calls';
import { getFeed } from '$lib/machines/calls';
import { listInvitations, listPeople } from '$lib/network/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const id = params.id;
	const seesPeople = here.may('see_money', id);
	const [club, grounds, closures, pitches, feed, people, invitations] = await Promise.all([
		getClub(here.id, id),
		listGrounds(here.id, id),
		listClosures(here.id, id),
		listPitches(here.id, id),
		here.may('look_after_club', id) ? getFeed(here.id, { club_id: id }) : undefined,
		seesPeople ? listPeople(here.id) : [],
		here.may('invite', id) ? listInvitations(here.id) : []
	]);
	return {
		club,
		grounds,
		closures,
		pitches,
		feed,
		people: people.filter((person) => person.roles.some((role) => role.club_id === id)),
		invitations: invitations.filter((invitation) => invitation.club_id === id),
		seesPeople,
		mayEdit: here.may('look_after_club', id),
		mayInvite: here.may('invite', id)
	};
};
