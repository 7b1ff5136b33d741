import { listSwaps } from '$lib/bookings/calls';
import { getBooking, getCharge, getMachine } from '$lib/machines/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const booking = await getBooking(here.id, params.id);
	const [machine, charge, swaps] = await Promise.all([
		getMachine(here.id, booking.machine_id),
		getCharge(here.id, booking.machine_id, booking.span).catch(() => undefined),
		listSwaps(here.id, booking.booking_id)
	]);
	return { booking, machine, charge, swaps };
};
