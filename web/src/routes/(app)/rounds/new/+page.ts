import { listMachines } from '$lib/machines/calls';
import { listSuppliers } from '$lib/network/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent }) => {
	const { here } = await parent();
	if (!here.isCoordinator) return { machines: [], suppliers: [] };
	const [machines, suppliers] = await Promise.all([listMachines(here.id), listSuppliers(here.id)]);
	return { machines: machines.filter((machine) => !machine.retired), suppliers };
};
