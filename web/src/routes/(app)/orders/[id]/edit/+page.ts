import { listProducts, listSuppliers } from '$lib/network/calls';
import { getOrder } from '$lib/orders/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [order, products, suppliers] = await Promise.all([
		getOrder(here.id, params.id),
		listProducts(here.id),
		listSuppliers(here.id)
	]);
	return { order, products, suppliers };
};
