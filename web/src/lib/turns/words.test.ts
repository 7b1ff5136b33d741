import { describe, expect, test } from 'vitest';
import type { ClubTurns, Round, TurnKind } from '$lib/api/types';
import { comesFirstIn, seasonWords, signed, standings, turnsAnswer } from './words';

const clubs = ['Ashby', 'Marl End', 'Wick'].map((name) => ({ club_id: name, name }));

function turns(club: string, balance: number, running: number, kinds: TurnKind[]): ClubTurns {
	const entry = (kind: TurnKind, at: number) => ({
		turn_id: `${club}-${at}`,
		round_id: 'r',
		round_title: 'Deep tines',
		ground_name: club,
		kind,
		points: 0,
		entered_at: '2027-05-01T00:00:00Z'
	});
	return {
		club_id: club,
		club_name: club,
		balance,
		weights: [10, 20, 30, 40, 50].map((weight) => weight + balance),
		left_out_running: running,
		seasons: [{ season: 2026, carried: 0, entries: kinds.map(entry), balance }]
	};
}

describe('turns', () => {
	test('a season has the name people give it', () => {
		expect([2026, 1999, 2008].map(seasonWords)).toEqual(['2026/27', '1999/00', '2008/09']);
		expect([3, 0, -2].map(signed)).toEqual(['+3', '0', '−2']);
	});

	test('every club stands somewhere, those that gave way first', () => {
		const all = standings(clubs, [
			turns('Wick', 4, 1, ['left_out', 'served_late', 'served']),
			turns('Ashby', -2, 0, ['prime_day', 'served'])
		]);
		expect(all.map((club) => [club.name, club.prime, club.served, club.leftOut])).toEqual([
			['Wick', 0, 2, 1],
			['Marl End', 0, 0, 0],
			['Ashby', 1, 2, 0]
		]);
		expect(turnsAnswer(all, [])).toBe('Wick gave way most (+4); Ashby had most of the wanted days (−2).');
		expect(turnsAnswer(all, ['Ashby'])).toBe('Ashby had wanted days before: its requests weigh 2 less now.');
		expect(turnsAnswer(all, ['Marl End'])).toContain('stands even');
		expect(turnsAnswer(standings(clubs, []), [])).toBe('All clubs stand even.');
	});

	test('who comes first depends on what the round says, and 0 says nobody', () => {
		const round = (guarantee_after: number) => ({ guarantee_after }) as Round;
		expect(comesFirstIn(2, [round(0), round(2), round(3)])).toEqual([round(2)]);
		expect(comesFirstIn(1, [round(2)])).toEqual([]);
	});
});
