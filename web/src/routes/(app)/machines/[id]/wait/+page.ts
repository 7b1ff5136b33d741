import { listWaiting } from '$lib/bookings/calls';
import { bookable } from '$lib/machines/bookable';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	const [wanted, line] = await Promise.all([
		bookable(here, params.id, url.searchParams),
		listWaiting(here.id, { machine_id: params.id })
	]);
	return { ...wanted, line };
};
