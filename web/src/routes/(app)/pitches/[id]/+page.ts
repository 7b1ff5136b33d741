import { getPitch } from '$lib/clubs/calls';
import { listWalks } from '$lib/walks/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [pitch, walks] = await Promise.all([getPitch(here.id, params.id), listWalks(here.id, params.id)]);
	return { pitch, walks };
};
