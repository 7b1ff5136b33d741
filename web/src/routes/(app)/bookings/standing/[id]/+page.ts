import { getStanding } from '$lib/bookings/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	return { standing: await getStanding(here.id, params.id) };
};
