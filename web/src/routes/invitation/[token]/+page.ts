import { getInvitation } from '$lib/access/calls';
import { ApiError } from '$lib/api/error';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ params }) => {
	try {
		return { invitation: await getInvitation(params.token) };
	} catch (cause) {
		if (cause instanceof ApiError && (cause.code === 'link_spent' || cause.status === 404))
			return { invitation: undefined };
		throw cause;
	}
};
