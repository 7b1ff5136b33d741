/** Tractors with drivers in a round: what each club has, and who counts on it. Pure. */
import type { Club, ClubCrews, RoundRequest } from '$lib/api/types';
import type { Kind } from '$lib/look/Shape.svelte';

export interface Crews {
	clubId: string;
	name: string;
	crews: number;
	lends: boolean;
	/** Clubs that asked with a tractor of this one, itself among them. */
	countedOnBy: string[];
}

/** Every club by name; one that said nothing has the usual, one tractor that it lends. */
export function crewsOfAll(
	clubs: Pick<Club, 'club_id' | 'name'>[],
	said: ClubCrews[],
	asked: RoundRequest[]
): Crews[] {
	const of = ({ club_id, name }: Pick<Club, 'club_id' | 'name'>): Crews => {
		const saying = said.find((each) => each.club_id === club_id);
		const counting = asked.filter((each) => (each.helper_club_id ?? each.club_id) === club_id);
		return {
			clubId: club_id,
			name,
			crews: saying?.crews ?? 1,
			lends: saying?.lends ?? true,
			countedOnBy: [
				...new Set(counting.map((each) => (each.club_id === club_id ? 'itself' : each.club_name)))
			]
		};
	};
	return clubs.map(of).sort((a, b) => a.name.localeCompare(b.name, 'en-GB'));
}

/** Whether a club stands as most do: one tractor that it lends, and nobody counts on it. */
export function isUsual({ crews, lends, countedOnBy }: Crews): boolean {
	return crews === 1 && lends && countedOnBy.length === 0;
}

/** "1 tractor with driver". */
export function crewsWords(crews: number): string {
	if (crews === 0) return 'no tractor';
	return crews === 1 ? '1 tractor with driver' : `${crews} tractors with drivers`;
}

export function lendingWords({ crews, lends }: Pick<Crews, 'crews' | 'lends'>): { word: string; kind: Kind } {
	if (crews === 0) return { word: 'Nothing to lend', kind: 'rest' };
	return lends ? { word: 'Lends', kind: 'go' } : { word: 'Does not lend', kind: 'stop' };
}

/** How many lend, in one sentence. */
export function crewsAnswer(all: Crews[]): string {
	const lenders = all.filter((club) => club.crews > 0 && club.lends).length;
	const helped = all.flatMap((club) => club.countedOnBy.filter((name) => name !== 'itself')).length;
	const lend = `${lenders} of ${all.length} clubs would lend a tractor with driver`;
	return helped === 0
		? `${lend}.`
		: `${lend}; ${helped === 1 ? '1 club asks' : `${helped} clubs ask`} with a lent one.`;
}
