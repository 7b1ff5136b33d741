import { listClubs } from '$lib/clubs/calls';
import { getMachine } from '$lib/machines/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [machine, clubs] = await Promise.all([getMachine(here.id, params.id), listClubs(here.id)]);
	return { machine, clubs: clubs.map(({ club_id, name }) => ({ club_id, name })) };
};
