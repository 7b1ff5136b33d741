import { getGround } from '$lib/clubs/calls';
import { listClosures } from '$lib/closures/calls';
import { listBookings } from '$lib/machines/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const ground = await getGround(here.id, params.id);
	const mayClose = here.may('look_after_club', ground.club_id);
	const [closures, bookings] = await Promise.all([
		listClosures(here.id, ground.club_id),
		mayClose ? listBookings(here.id, { club_id: ground.club_id }) : []
	]);
	return {
		ground,
		mayClose,
		closures: closures.filter((closure) => closure.ground_id === ground.ground_id),
		bookings: bookings.filter((booking) => booking.state === 'agreed' || booking.state === 'asked')
	};
};
