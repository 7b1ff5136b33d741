import { expect, test } from 'vitest';
import type { Role } from '$lib/api/types';
import { allows, ownClubs } from './roles';

const lead: Role = { role: 'grounds_lead', club_id: 'a', club_name: 'Ashby' };
const purse: Role = { role: 'treasurer', club_id: 'b', club_name: 'Aldcombe' };
const helper: Role = { role: 'volunteer', club_id: 'a', club_name: 'Ashby' };
const coordinator: Role = { role: 'coordinator', club_id: null, club_name: null };

test('a grounds lead books for the own club and no other', () => {
	expect(allows([lead], 'book', 'a')).toBe(true);
	expect(allows([lead], 'book', 'b')).toBe(false);
	expect(allows([lead], 'coordinate')).toBe(false);
});

test('a coordinator acts for every club', () => {
	expect(allows([coordinator], 'book', 'b')).toBe(true);
});

test('a volunteer walks but neither books nor sees money', () => {
	expect(allows([helper], 'walk', 'a')).toBe(true);
	expect(allows([helper], 'book', 'a')).toBe(false);
	expect(allows([helper], 'see_money', 'a')).toBe(false);
});

test('each club is named once, by name', () => {
	expect(ownClubs([lead, purse, helper, coordinator])).toEqual([
		{ club_id: 'b', name: 'Aldcombe' },
		{ club_id: 'a', name: 'Ashby' }
	]);
});

test('a treasurer sees money but joins no order', () => {
	expect(allows([purse], 'see_money', 'b')).toBe(true);
	expect(allows([purse], 'order', 'b')).toBe(false);
});
