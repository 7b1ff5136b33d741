import { redirect } from '@sveltejs/kit';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	if (here.clubs.length === 1 && here.clubs[0]) redirect(307, `/club/${here.clubs[0].club_id}`);
	return {};
};
