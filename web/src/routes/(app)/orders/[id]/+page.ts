import { listClubs } from '$lib/clubs/calls';
import { getOrder } from '$lib/orders/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [order, clubs] = await Promise.all([
		getOrder(here.id, params.id),
		here.isCoordinator ? listClubs(here.id) : here.clubs
	]);
	const mayOrder = clubs
		.filter((club) => here.may('order', club.club_id))
		.map(({ club_id, name }) => ({ club_id, name }));
	return { order, mayOrder };
};
