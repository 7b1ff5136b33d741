import { getPitch } from '$lib/clubs/calls';
import { listCriteria } from '$lib/walks/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [pitch, criteria] = await Promise.all([getPitch(here.id, params.id), listCriteria(here.id)]);
	return { pitch, criteria };
};
