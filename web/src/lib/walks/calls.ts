/** Criteria, walks, scoring schemes and comparisons. */
import { all, get, inNetwork, post, put } from '$lib/api/client';
import type {
	Comparison,
	Criterion,
	CriterionKey,
	Reading,
	Scheme,
	SchemePoint,
	SchemeSummary,
	Walk
} from '$lib/api/types';

export const listCriteria = async (n: string) =>
	(await get<{ items: Criterion[] }>(inNetwork(n, 'criteria'))).items;

export interface NewWalk {
	walk_id: string;
	pitch_id: string;
	walked_on: string;
	readings: Reading[];
	note: string;
}
export const createWalk = (n: string, body: NewWalk, key: string) =>
	post<Walk>(inNetwork(n, 'walks'), { body, key });
export const listWalks = (n: string, pitchId: string) =>
	all<Walk>(inNetwork(n, 'walks'), { pitch_id: pitchId });
export const getWalk = (n: string, id: string) => get<Walk>(inNetwork(n, 'walks', id));

export const listSchemes = (n: string) => all<SchemeSummary>(inNetwork(n, 'schemes'));
export const getScheme = (n: string) => get<Scheme>(inNetwork(n, 'schemes', 'current'));
export interface SchemeFacts {
	note: string;
	criteria: { criterion: CriterionKey; weight: number; points: SchemePoint[] }[];
}
export const changeScheme = (n: string, body: SchemeFacts, version: number) =>
	put<Scheme>(inNetwork(n, 'schemes', 'current'), { body, version });

export interface Basis {
	within_km: string;
	nearest: string;
	sport: string;
	soil: string;
}
export const getComparison = (n: string, pitchId: string, basis: Basis) =>
	get<Comparison>(inNetwork(n, 'pitches', pitchId, 'comparison'), { ...basis });
