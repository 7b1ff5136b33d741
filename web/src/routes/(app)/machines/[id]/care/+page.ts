import { listClubs } from '$lib/clubs/calls';
import { getCare } from '$lib/handovers/calls';
import { getMachine } from '$lib/machines/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [machine, care, clubs] = await Promise.all([
		getMachine(here.id, params.id),
		getCare(here.id, params.id),
		here.isCoordinator ? listClubs(here.id) : []
	]);
	return { machine, care, clubs };
};
