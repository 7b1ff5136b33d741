/** Clubs, their grounds and their pitches. */
import { all, get, inNetwork, post, put } from '$lib/api/client';
import type { Club, Ground, Pitch, Sharing } from '$lib/api/types';

export const listClubs = (n: string) => all<Club>(inNetwork(n, 'clubs'));
export const getClub = (n: string, id: string) => get<Club>(inNetwork(n, 'clubs', id));

export interface ClubFacts {
	name: string;
	sharing: Sharing;
}
export const createClub = (n: string, body: ClubFacts, key: string) =>
	post<Club>(inNetwork(n, 'clubs'), { body, key });
export const changeClub = (n: string, id: string, body: ClubFacts, version: number) =>
	put<Club>(inNetwork(n, 'clubs', id), { body, version });

export type GroundFacts = Omit<Ground, 'ground_id' | 'club_id' | 'club_name' | 'version'>;
export const listGrounds = (n: string, clubId?: string) =>
	all<Ground>(inNetwork(n, 'grounds'), { club_id: clubId });
export const getGround = (n: string, id: string) => get<Ground>(inNetwork(n, 'grounds', id));
export const createGround = (n: string, clubId: string, body: GroundFacts, key: string) =>
	post<Ground>(inNetwork(n, 'clubs', clubId, 'grounds'), { body, key });
export const changeGround = (n: string, id: string, body: GroundFacts, version: number) =>
	put<Ground>(inNetwork(n, 'grounds', id), { body, version });

export interface PitchFacts {
	name: string;
	sport: Pitch['sport'];
	length_m: number;
	width_m: number;
	area_m2?: number;
}
export const listPitches = (n: string, clubId?: string) =>
	all<Pitch>(inNetwork(n, 'pitches'), { club_id: clubId });
export const getPitch = (n: string, id: string) => get<Pitch>(inNetwork(n, 'pitches', id));
export const createPitch = (n: string, groundId: string, body: PitchFacts, key: string) =>
	post<Pitch>(inNetwork(n, 'grounds', groundId, 'pitches'), { body, key });
export const changePitch = (n: string, id: string, body: PitchFacts, version: number) =>
	put<Pitch>(inNetwork(n, 'pitches', id), { body, version });
