/** What turns are called, and where a club stands by them. Pure. */
import type { Club, ClubTurns, Round, TurnKind } from '$lib/api/types';
import type { Kind } from '$lib/look/Shape.svelte';

export const turnWords: Record<TurnKind, { word: string; kind: Kind; why: string }> = {
	left_out: { word: 'Left out', kind: 'stop', why: 'although it could have been served' },
	served_late: { word: 'Served late', kind: 'wait', why: 'on neither of its first two wishes' },
	prime_day: { word: 'Prime day', kind: 'done', why: 'its first wish, which others wished for first too' },
	served: { word: 'Served', kind: 'done', why: 'and nobody gave way for it' }
};

/** "2026/27" of 2026. */
export function seasonWords(season: number): string {
	return `${season}/${String((season + 1) % 100).padStart(2, '0')}`;
}

/** "+3", "0", "−2": the sign always, as it says who gave way. */
export function signed(points: number): string {
	return points > 0 ? `+${points}` : points < 0 ? `−${-points}` : '0';
}

/** A club's turns over all seasons. */
export interface Standing {
	clubId: string;
	name: string;
	balance: number;
	prime: number;
	served: number;
	leftOut: number;
	leftOutRunning: number;
	turns: ClubTurns | undefined;
}

/** Every club, those first whose requests weigh most. */
export function standings(clubs: Pick<Club, 'club_id' | 'name'>[], turns: ClubTurns[]): Standing[] {
	const standing = ({ club_id, name }: Pick<Club, 'club_id' | 'name'>): Standing => {
		const of = turns.find((each) => each.club_id === club_id);
		const kinds = of?.seasons.flatMap((season) => season.entries.map((entry) => entry.kind)) ?? [];
		const leftOut = kinds.filter((kind) => kind === 'left_out').length;
		return {
			clubId: club_id,
			name,
			balance: of?.balance ?? 0,
			prime: kinds.filter((kind) => kind === 'prime_day').length,
			served: kinds.length - leftOut,
			leftOut,
			leftOutRunning: of?.left_out_running ?? 0,
			turns: of
		};
	};
	return clubs.map(standing).sort((a, b) => b.balance - a.balance || a.name.localeCompare(b.name, 'en-GB'));
}

/** The open rounds in which a club comes before all weight, having been left out often enough running. */
export function comesFirstIn(leftOutRunning: number, open: Round[]): Round[] {
	return open.filter((round) => round.guarantee_after > 0 && leftOutRunning >= round.guarantee_after);
}

/** Where things stand, in one sentence: for a club's own people of that club, else of the network. */
export function turnsAnswer(all: Standing[], own: string[]): string {
	const ours = all.filter((club) => own.includes(club.clubId));
	const [mine] = ours;
	if (mine && ours.length === 1) {
		if (mine.balance > 0) return `${mine.name} gave way before: its requests weigh ${mine.balance} more now.`;
		if (mine.balance < 0)
			return `${mine.name} had wanted days before: its requests weigh ${-mine.balance} less now.`;
		return `${mine.name} stands even: its requests weigh what its need says.`;
	}
	const most = all[0];
	const least = all.at(-1);
	if (!most || !least || (most.balance <= 0 && least.balance >= 0)) return 'All clubs stand even.';
	const parts = [];
	if (most.balance > 0) parts.push(`${most.name} gave way most (${signed(most.balance)})`);
	if (least.balance < 0) parts.push(`${least.name} had most of the wanted days (${signed(least.balance)})`);
	return `${parts.join('; ')}.`;
}
