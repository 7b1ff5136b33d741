import { getHandovers } from '$lib/handovers/calls';
import { getBooking } from '$lib/machines/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [booking, sheet] = await Promise.all([
		getBooking(here.id, params.id),
		getHandovers(here.id, params.id)
	]);
	return { booking, sheet };
};
