import { getScheme, listCriteria, listSchemes } from '$lib/walks/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	if (!here.isCoordinator) return { scheme: undefined, schemes: [], criteria: [] };
	const [scheme, schemes, criteria] = await Promise.all([
		getScheme(here.id),
		listSchemes(here.id),
		listCriteria(here.id)
	]);
	return { scheme, schemes, criteria };
};
