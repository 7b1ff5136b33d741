/** Closed grounds. */
import { get, inNetwork, post } from '$lib/api/client';
import type { Closure, Span } from '$lib/api/types';

export const listClosures = (n: string, clubId?: string) =>
	get<Closure[]>(inNetwork(n, 'closures'), { club_id: clubId });
export const closeGround = (n: string, ground: string, body: { span: Span; reason: string }, key: string) =>
	post<Closure>(inNetwork(n, 'grounds', ground, 'closures'), { body, key });
export const liftClosure = (n: string, closure: string) =>
	post<Closure>(inNetwork(n, 'closures', closure, 'lifting'), {});
