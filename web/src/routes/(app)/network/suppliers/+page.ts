import { listProducts, listSuppliers } from '$lib/network/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	if (!here.isCoordinator) return { products: [], suppliers: [] };
	const [products, suppliers] = await Promise.all([listProducts(here.id), listSuppliers(here.id)]);
	return { products, suppliers };
};
