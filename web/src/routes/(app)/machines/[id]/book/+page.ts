import { bookable } from '$lib/machines/bookable';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	return bookable(here, params.id, url.searchParams);
};
