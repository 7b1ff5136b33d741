import { listBookings } from '$lib/machines/calls';
import { addDays } from '$lib/time/halfdays';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, url }) => {
	const { here } = await parent();
	const past = url.searchParams.get('past') === '1';
	const from = past ? addDays(here.today, -366) : here.today;
	const lists = here.isCoordinator
		? [await listBookings(here.id, { from })]
		: await Promise.all(here.clubs.map((club) => listBookings(here.id, { club_id: club.club_id, from })));
	const bookings = lists.flat().sort((a, b) => a.span.from.localeCompare(b.span.from));
	return { past, bookings };
};
