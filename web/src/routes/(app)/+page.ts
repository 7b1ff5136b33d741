import { listNeeds } from '$lib/start/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	return { needs: await listNeeds(here.id) };
};
