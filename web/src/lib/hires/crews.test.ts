import { describe, expect, test } from 'vitest';
import type { RoundRequest } from '$lib/api/types';
import { crewsAnswer, crewsOfAll, crewsWords, isUsual, lendingWords } from './crews';

const clubs = ['Wick', 'Ashby'].map((name) => ({ club_id: name, name }));
const asked = (club: string, helper: string | null) =>
	({ club_id: club, club_name: club, helper_club_id: helper }) as RoundRequest;

describe('tractors with drivers', () => {
	test('a club that says nothing has one and lends it', () => {
		const all = crewsOfAll(clubs, [], [asked('Wick', 'Ashby'), asked('Ashby', null)]);
		expect(all.map((club) => [club.name, club.crews, club.lends, club.countedOnBy])).toEqual([
			['Ashby', 1, true, ['Wick', 'itself']],
			['Wick', 1, true, []]
		]);
		expect(all.map(isUsual)).toEqual([false, true]);
		expect(crewsAnswer(all)).toBe(
			'2 of 2 clubs would lend a tractor with driver; 1 club asks with a lent one.'
		);
	});

	test('a club without a tractor has nothing to lend', () => {
		const none = { club_id: 'Wick', club_name: 'Wick', crews: 0, lends: false };
		const [, wick] = crewsOfAll(clubs, [none], []);
		expect(wick && lendingWords(wick).word).toBe('Nothing to lend');
		expect([0, 1, 3].map(crewsWords)).toEqual([
			'no tractor',
			'1 tractor with driver',
			'3 tractors with drivers'
		]);
	});
});
