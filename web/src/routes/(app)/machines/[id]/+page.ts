import { listWaiting } from '$lib/bookings/calls';
import { listClubs } from '$lib/clubs/calls';
import { listOpenRounds } from '$lib/hires/calls';
import { getBoard, getFeed, getMachine } from '$lib/machines/calls';
import type { PageLoad } from './$types';

const DAYS = 28;

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const [machine, board, rounds] = await Promise.all([
		getMachine(here.id, params.id),
		getBoard(here.id, here.today, DAYS),
		listOpenRounds(here.id)
	]);
	const mayEdit = here.may('look_after_club', machine.owner_club_id ?? '');
	const [feed, clubs, line] = await Promise.all([
		mayEdit ? getFeed(here.id, { machine_id: machine.machine_id }) : undefined,
		machine.who_may_book === 'named_clubs' ? listClubs(here.id) : [],
		listWaiting(here.id, { machine_id: machine.machine_id })
	]);
	const named = machine.named_club_ids.flatMap((id) => clubs.find((club) => club.club_id === id)?.name ?? []);
	const row = board.machines.find((entry) => entry.machine_id === machine.machine_id);
	return { machine, row, days: DAYS, mayEdit, feed, named, line, rounds };
};
