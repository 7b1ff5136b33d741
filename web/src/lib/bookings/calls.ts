/** The waiting list, standing bookings, and swaps. */
import { all, get, inNetwork, post, remove } from '$lib/api/client';
import type { Booking, Standing, StandingPreview, StandingWish, Swap, Waiter } from '$lib/api/types';
import type { NewBooking } from '$lib/machines/calls';

export const listWaiting = (n: string, filter: { machine_id?: string; club_id?: string }) =>
	all<Waiter>(inNetwork(n, 'waiting'), filter);
export const joinWaiting = (n: string, body: NewBooking, key: string) =>
	post<Waiter>(inNetwork(n, 'waiting'), { body, key });
export const leaveWaiting = (n: string, id: string) => remove<void>(inNetwork(n, 'waiting', id));
export const acceptOffer = (n: string, id: string, key: string) =>
	post<Booking>(inNetwork(n, 'bookings', id, 'acceptance'), { body: {}, key });

export const previewStanding = (n: string, body: StandingWish) =>
	post<StandingPreview>(inNetwork(n, 'standing-bookings', 'preview'), { body });
export const createStanding = (n: string, body: StandingWish, key: string) =>
	post<Standing>(inNetwork(n, 'standing-bookings'), { body, key });
export const getStanding = (n: string, id: string) => get<Standing>(inNetwork(n, 'standing-bookings', id));
export const endStanding = (n: string, id: string, from_on: string, key: string) =>
	post<Standing>(inNetwork(n, 'standing-bookings', id, 'ending'), { body: { from_on }, key });

export const listSwaps = (n: string, bookingId: string) =>
	all<Swap>(inNetwork(n, 'swaps'), { booking_id: bookingId });
export const proposeSwap = (n: string, give: string, want: string, note: string, key: string) =>
	post<Swap>(inNetwork(n, 'swaps'), { body: { give_booking_id: give, want_booking_id: want, note }, key });
export const answerSwap = (n: string, id: string, accepted: boolean, key: string) =>
	post<Swap>(inNetwork(n, 'swaps', id, 'answer'), { body: { accepted }, key });
export const withdrawSwap = (n: string, id: string, key: string) =>
	post<Swap>(inNetwork(n, 'swaps', id, 'withdrawal'), { body: {}, key });
