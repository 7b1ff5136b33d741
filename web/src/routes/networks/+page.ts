import { getMe } from '$lib/access/calls';
import { ApiError } from '$lib/api/error';
import { redirect } from '@sveltejs/kit';
import type { PageLoad } from './$types';

export const load: PageLoad = async () => {
	try {
		return { me: await getMe() };
	} catch (cause) {
		if (cause instanceof ApiError && cause.status === 401) redirect(303, '/sign-in?then=/networks');
		throw cause;
	}
};
