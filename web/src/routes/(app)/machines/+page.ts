import { getBoard, listMachines } from '$lib/machines/calls';
import type { PageLoad } from './$types';

const DAYS = 14;

export const load: PageLoad = async ({ parent, url }) => {
	const { here } = await parent();
	const asked = url.searchParams.get('from') ?? '';
	const from = /^\d{4}-\d{2}-\d{2}$/.test(asked) ? asked : here.today;
	const [board, machines] = await Promise.all([
		getBoard(here.id, from, DAYS),
		here.may('look_after_club') ? listMachines(here.id) : []
	]);
	return { from, days: DAYS, board, retired: machines.filter((machine) => machine.retired) };
};
