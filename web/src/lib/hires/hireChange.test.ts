import { describe, expect, test } from 'vitest';
import type { Hire, HireFacts, Round, RoundRequest, Span } from '$lib/api/types';
import { effects, losers, namesWords, offeredAfter } from './hireChange';

const span = (from: string, until: string): Span => ({
	from: `${from}T00:00:00`,
	until: `${until}T00:00:00`
});
const hire = {
	hire_id: 'h',
	span: span('2027-05-03', '2027-05-10'),
	per_day_pence: 20_000,
	hauled_by: 'supplier',
	depot_latitude_deg: null,
	depot_longitude_deg: null
} as Hire;
const round = (owned: boolean) =>
	({ hires: [hire], machines: [{ hire_id: 'h' }, ...(owned ? [{ hire_id: null }] : [])] }) as Round;
const asked = (club_name: string, ...days: string[]) =>
	({ club_name, half_days: days.flatMap((day) => [`${day}T00:00:00`, `${day}T12:00:00`]) }) as RoundRequest;

describe('changing a hire', () => {
	const moved = span('2027-05-05', '2027-05-12');
	const requests = [
		asked('Wick', '2027-05-03', '2027-05-04'),
		asked('Ashby', '2027-05-04', '2027-05-05'),
		asked('Marl End', '2027-05-06')
	];

	test('who loses some or all of the half-days allowed is named before', () => {
		expect(losers(requests, offeredAfter(round(false), 'h', moved))).toEqual({
			all: ['Wick'],
			some: ['Ashby']
		});
		const said = effects(round(false), requests, hire, { ...hire, span: moved } as HireFacts);
		expect(said[0]).toBe('Wick: none of the half-days allowed would be left, so no place.');
		expect(said).toContain('Plans made before are out of date.');
	});

	test('an owned machine is there from the first day to the last', () => {
		const afternoon: Span = { from: '2027-05-03T12:00:00', until: '2027-05-05T12:00:00' };
		expect(offeredAfter(round(false), 'h', afternoon)).toHaveLength(4);
		expect(offeredAfter(round(true), 'h', afternoon)).toHaveLength(6);
	});

	test('other charges change shares and no plan', () => {
		const dearer = { ...hire, per_day_pence: 23_000 } as HireFacts;
		expect(effects(round(false), requests, hire, dearer)).toEqual([
			'Each club’s share of the cost is reckoned anew; what was entered already stays.'
		]);
		expect(effects(round(false), requests, hire, { ...hire } as HireFacts)).toEqual([]);
		expect([[], ['Wick'], ['Wick', 'Ashby', 'Marl End']].map(namesWords)).toEqual([
			'',
			'Wick',
			'Wick, Ashby and Marl End'
		]);
	});
});
