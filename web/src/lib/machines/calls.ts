/** Machines, the board, bookings and their calendars. */
import { all, get, inNetwork, post, put, remove } from '$lib/api/client';
import type {
	Availability,
	Board,
	Booking,
	Charge,
	Machine,
	MachineFacts,
	Reckoning,
	Span
} from '$lib/api/types';

export const listMachines = (n: string) => all<Machine>(inNetwork(n, 'machines'));
export const getMachine = (n: string, id: string) => get<Machine>(inNetwork(n, 'machines', id));
export const createMachine = (n: string, body: MachineFacts, key: string) =>
	post<Machine>(inNetwork(n, 'machines'), { body, key });
export const changeMachine = (n: string, id: string, body: MachineFacts, version: number) =>
	put<Machine>(inNetwork(n, 'machines', id), { body, version });

export const addAvailability = (n: string, machineId: string, span: Span, key: string) =>
	post<Availability>(inNetwork(n, 'machines', machineId, 'availabilities'), { body: span, key });
export const removeAvailability = (n: string, machineId: string, id: string) =>
	remove<void>(inNetwork(n, 'machines', machineId, 'availabilities', id));

export const getBoard = (n: string, from: string, days: number) =>
	get<Board>(inNetwork(n, 'board'), { from, days });

export const getReckoning = (
	n: string,
	machineId: string,
	clubId: string,
	pitchIds: string[],
	from: string
) =>
	get<Reckoning>(inNetwork(n, 'machines', machineId, 'reckoning'), {
		club_id: clubId,
		pitch_ids: pitchIds.join(','),
		from
	});
export const getCharge = (n: string, machineId: string, span: Span) =>
	get<Charge>(inNetwork(n, 'machines', machineId, 'charge'), { from: span.from, until: span.until });

export interface NewBooking {
	machine_id: string;
	club_id: string;
	span: Span;
	pitch_ids: string[];
	note: string;
}
export const createBooking = (n: string, body: NewBooking, key: string) =>
	post<Booking>(inNetwork(n, 'bookings'), { body, key });
export const listBookings = (n: string, filter: { club_id?: string; machine_id?: string; from?: string }) =>
	all<Booking>(inNetwork(n, 'bookings'), filter);
export const getBooking = (n: string, id: string) => get<Booking>(inNetwork(n, 'bookings', id));
export const moveBooking = (n: string, id: string, span: Span, version: number) =>
	put<Booking>(inNetwork(n, 'bookings', id, 'span'), { body: span, version });
export const cancelBooking = (n: string, id: string, key: string) =>
	post<Booking>(inNetwork(n, 'bookings', id, 'cancellation'), { body: {}, key });
export const answerBooking = (n: string, id: string, agreed: boolean, reason: string, key: string) =>
	post<Booking>(inNetwork(n, 'bookings', id, 'answer'), {
		body: { agreed, ...(reason ? { reason } : {}) },
		key
	});

export type FeedOf = { club_id: string } | { machine_id: string };
export const getFeed = (n: string, of: FeedOf) =>
	get<{ address: string | null }>(inNetwork(n, 'calendar-feed'), { ...of });
export const makeFeed = (n: string, of: FeedOf, key: string) =>
	post<{ address: string }>(inNetwork(n, 'calendar-feed'), { body: of, key });
