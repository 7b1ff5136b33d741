import { getScheme, listSchemes } from '$lib/walks/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	if (!here.isCoordinator) return { scheme: undefined, schemes: [] };
	const [scheme, schemes] = await Promise.all([getScheme(here.id), listSchemes(here.id)]);
	return { scheme, schemes };
};
