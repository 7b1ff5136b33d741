/** Signing in and out, invitations, passwords. */
import { call, get, post, put, remove } from '$lib/api/client';
import type { InvitationToMe, Me } from '$lib/api/types';

export const getMe = () => get<Me>('/me');

export const signIn = (email: string, password: string) =>
	post<{ me: Me }>('/session', { body: { email, password }, renew: false });

export const signOut = () => remove<void>('/session', { renew: false });
export const signOutEverywhere = () => remove<void>('/sessions');

export const changePassword = (current_password: string, new_password: string) =>
	put<void>('/me/password', { body: { current_password, new_password } });

export const askForReset = (email: string) =>
	post<unknown>('/password-resets', { body: { email }, renew: false });

export const resetPassword = (token: string, password: string) =>
	put<void>(`/password-resets/${encodeURIComponent(token)}`, { body: { password }, renew: false });

const invitation = (token: string) => `/invitations/${encodeURIComponent(token)}`;

export const getInvitation = (token: string) =>
	call<InvitationToMe>('GET', invitation(token), { renew: false });

export const acceptInvitation = (token: string, name: string, password: string) =>
	post<{ me: Me }>(`${invitation(token)}/acceptance`, { body: { name, password }, renew: false });
