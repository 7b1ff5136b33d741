import { listClubs, listPitches } from '$lib/clubs/calls';
import { getMachine } from '$lib/machines/calls';
import type { PageLoad } from './$types';

const WALL = /^\d{4}-\d{2}-\d{2}T(00|12):00:00$/;

export const load: PageLoad = async ({ parent, params, url }) => {
	const { here } = await parent();
	const [machine, pitches, clubs] = await Promise.all([
		getMachine(here.id, params.id),
		listPitches(here.id),
		here.isCoordinator ? listClubs(here.id) : here.clubs
	]);
	const from = url.searchParams.get('from') ?? '';
	const until = url.searchParams.get('until') ?? '';
	const wanted = WALL.test(from) && WALL.test(until) && from < until ? { from, until } : undefined;
	const bookable = clubs
		.filter((club) => here.may('book', club.club_id))
		.filter(
			(club) =>
				machine.who_may_book === 'every_club' ||
				machine.owner_club_id === club.club_id ||
				(machine.who_may_book === 'named_clubs' && machine.named_club_ids.includes(club.club_id))
		)
		.map(({ club_id, name }) => ({ club_id, name }));
	return { machine, pitches, wanted, clubs: bookable };
};
