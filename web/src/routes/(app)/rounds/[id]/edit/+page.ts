import { listGrounds } from '$lib/clubs/calls';
import { getRound, listRequests } from '$lib/hires/calls';
import { listMachines } from '$lib/machines/calls';
import { listSuppliers } from '$lib/network/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	const [round, machines, suppliers, grounds, requests] = await Promise.all([
		getRound(here.id, params.id),
		listMachines(here.id),
		here.isCoordinator ? listSuppliers(here.id) : [],
		listGrounds(here.id),
		listRequests(here.id, params.id)
	]);
	const add = url.searchParams.get('add');
	const changed = round.hires.find((hire) => hire.hire_id === url.searchParams.get('hire'));
	const part: 'round' | 'hire' | 'own' | 'changed' = changed
		? 'changed'
		: add === 'hire' || add === 'own'
			? add
			: 'round';
	const inIt = new Set(round.machines.map((machine) => machine.machine_id));
	return {
		round,
		part,
		changed,
		asked: requests.filter((request) => request.state === 'asked'),
		suppliers,
		grounds,
		machines: machines.filter((machine) => !machine.retired && !inIt.has(machine.machine_id))
	};
};
