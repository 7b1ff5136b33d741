import { listOrders } from '$lib/orders/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	const orders = await listOrders(here.id);
	return {
		open: orders
			.filter((order) => order.state === 'gathering')
			.sort((a, b) => a.closes_at.localeCompare(b.closes_at)),
		rest: orders
			.filter((order) => order.state !== 'gathering')
			.sort((a, b) => b.closes_at.localeCompare(a.closes_at))
	};
};
