import { getMe } from '$lib/access/calls';
import { chosenNetwork, Here } from '$lib/access/here.svelte';
import { ApiError } from '$lib/api/error';
import { redirect } from '@sveltejs/kit';
import type { LayoutLoad } from './$types';

/** The one place where sign-in is checked, and where the network is settled. */
export const load: LayoutLoad = async ({ url, depends, untrack }) => {
	depends('turfring:me');
	const then = encodeURIComponent(untrack(() => url.pathname + url.search));
	try {
		const me = await getMe();
		const network = chosenNetwork(me);
		if (!network) redirect(303, `/networks?then=${then}`);
		return { here: new Here(me, network) };
	} catch (cause) {
		if (cause instanceof ApiError && cause.status === 401) redirect(303, `/sign-in?then=${then}`);
		throw cause;
	}
};
