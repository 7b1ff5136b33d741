import { getReplan } from '$lib/replans/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	return { replan: await getReplan(here.id, params.id) };
};
