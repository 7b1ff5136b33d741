import { describe, expect, test } from 'vitest';
import type { BoardBooking, BoardMachine } from '$lib/api/types';
import { halfDayAt, spanOf } from '$lib/time/halfdays';
import { dayOf, firstFree, rowsOf } from './board';

const monday = halfDayAt('2027-05-03T00:00:00');

function booking(id: string, from: number, until: number, held = until): BoardBooking {
	return {
		booking_id: id,
		club_id: 'c',
		club_name: 'Ashby',
		span: spanOf(monday + from, monday + until),
		held_until: spanOf(monday + held, monday + held + 1).from,
		state: 'agreed',
		needs_decision: false,
		yours: false
	};
}

function machine(free: [number, number][], bookings: BoardBooking[]): BoardMachine {
	return {
		machine_id: 'm',
		name: 'Spiker',
		kind: 'spiker',
		availabilities: [spanOf(monday, monday + 14)],
		free: free.map(([from, until]) => spanOf(monday + from, monday + until)),
		out_of_service: false,
		bookings,
		rounds: []
	};
}

describe('the board', () => {
	test('free days stay apart and can each be pressed', () => {
		const rows = rowsOf(machine([[0, 6]], []), '2027-05-03', 3, monday);
		expect(rows.morning.map((c) => [c.kind, c.days, c.whole])).toEqual([
			['free', 1, true],
			['free', 1, true],
			['free', 1, true]
		]);
		expect(rows.afternoon).toEqual([]);
	});

	test('a booking from an afternoon to a morning has ends in one row and whole days over both', () => {
		const rows = rowsOf(
			machine(
				[
					[0, 1],
					[7, 8]
				],
				[booking('b', 1, 7)]
			),
			'2027-05-03',
			4,
			monday
		);
		expect(rows.morning.map((c) => [c.kind, c.days, c.whole])).toEqual([
			['free', 1, false],
			['booked', 2, true],
			['booked', 1, false]
		]);
		expect(rows.afternoon.map((c) => [c.kind, c.days])).toEqual([
			['booked', 1],
			['free', 1]
		]);
	});

	test('every row fills every day', () => {
		const rows = rowsOf(
			machine([[3, 9]], [booking('b', 0, 2, 3), booking('d', 9, 12)]),
			'2027-05-03',
			7,
			monday
		);
		const across = (cells: { days: number }[]) => cells.reduce((sum, c) => sum + c.days, 0);
		const whole = rows.morning.filter((c) => c.whole);
		expect(across(rows.morning)).toBe(7);
		expect(across(rows.afternoon) + across(whole)).toBe(7);
	});

	test('the handover gap, the past and what is not offered are told apart', () => {
		const cells = dayOf(machine([], [booking('b', 0, 2, 3)]), '2027-05-04', monday);
		expect(cells.map((c) => c.kind)).toEqual(['handover', 'handover']);
		const beyond = { ...machine([], []), availabilities: [] };
		expect(dayOf(beyond, '2027-05-04', monday)[0]?.kind).toBe('closed');
		expect(dayOf(machine([[0, 2]], []), '2027-05-03', monday + 2)[0]?.kind).toBe('past');
	});

	test('what an open round decides about is one cell that leads there, before and after it is free', () => {
		const held = { round_id: 'r', title: 'Deep tines', span: spanOf(monday + 1, monday + 7) };
		const rows = rowsOf({ ...machine([[0, 1]], []), rounds: [held] }, '2027-05-03', 4, monday);
		expect(rows.morning.map((c) => [c.kind, c.days, c.whole])).toEqual([
			['free', 1, false],
			['round', 2, true],
			['round', 1, false]
		]);
		expect(rows.morning[1]?.round).toEqual(held);
	});

	test('the first free half-day is never in the past', () => {
		expect(firstFree(machine([[0, 4]], []), monday + 1)).toBe(monday + 1);
		expect(firstFree(machine([], []), monday)).toBeUndefined();
	});
});
