import { listSwaps } from '$lib/bookings/calls';
import { listGrounds } from '$lib/clubs/calls';
import { getHandovers } from '$lib/handovers/calls';
import { getBooking, getCharge, getMachine, listMachines } from '$lib/machines/calls';
import type { PageLoad } from './$types';

export const load: PageLoad = async ({ parent, params }) => {
	const { here } = await parent();
	const booking = await getBooking(here.id, params.id);
	const [machine, charge, swaps, sheet, grounds] = await Promise.all([
		getMachine(here.id, booking.machine_id),
		getCharge(here.id, booking.machine_id, booking.span).catch(() => undefined),
		listSwaps(here.id, booking.booking_id),
		getHandovers(here.id, booking.booking_id),
		here.may('look_after_club', booking.club_id) ? listGrounds(here.id, booking.club_id) : []
	]);
	const deciding = here.isCoordinator && sheet.needs_decision.length > 0;
	const all = deciding ? await listMachines(here.id) : undefined;
	const others = all?.filter((other) => other.machine_id !== booking.machine_id && !other.retired);
	return { booking, machine, charge, swaps, sheet, others, grounds };
};
