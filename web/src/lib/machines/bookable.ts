/** What a page must know on which somebody wants a machine: to book it, to wait for it, or to have it again and again. */
import type { Here } from '$lib/access/here.svelte';
import type { Span } from '$lib/api/types';
import { listClubs, listPitches } from '$lib/clubs/calls';
import { listOpenRounds } from '$lib/hires/calls';
import { getMachine } from './calls';

const WALL = /^\d{4}-\d{2}-\d{2}T(00|12):00:00$/;

/** The machine, the clubs for which this person may have it with their pitches, the rounds under way, and the time the address asks for. */
export async function bookable(here: Here, machineId: string, query: URLSearchParams) {
	const [machine, pitches, clubs, rounds] = await Promise.all([
		getMachine(here.id, machineId),
		listPitches(here.id),
		here.isCoordinator ? listClubs(here.id) : here.clubs,
		listOpenRounds(here.id)
	]);
	const open = clubs
		.filter((club) => here.may('book', club.club_id))
		.filter(
			(club) =>
				machine.who_may_book === 'every_club' ||
				machine.owner_club_id === club.club_id ||
				(machine.who_may_book === 'named_clubs' && machine.named_club_ids.includes(club.club_id))
		)
		.map(({ club_id, name }) => ({ club_id, name }));
	return { machine, pitches, wanted: spanIn(query), clubs: open, rounds };
}

function spanIn(query: URLSearchParams): Span | undefined {
	const from = query.get('from') ?? '';
	const until = query.get('until') ?? '';
	return WALL.test(from) && WALL.test(until) && from < until ? { from, until } : undefined;
}
