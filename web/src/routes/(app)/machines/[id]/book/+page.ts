import { getCare } from '$lib/handovers/calls';
import { bookable } from '$lib/machines/bookable';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	const [known, care] = await Promise.all([
		bookable(here, params.id, url.searchParams),
		getCare(here.id, params.id)
	]);
	return { ...known, care };
};
