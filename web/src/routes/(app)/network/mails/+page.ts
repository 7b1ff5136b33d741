import { listMails } from '$lib/network/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	return { mails: here.isCoordinator ? await listMails(here.id) : [] };
};
