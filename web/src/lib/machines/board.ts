/**
 * The board as rows of cells: each machine has a morning row above an afternoon row; what fills whole days is one
 * cell over both. Pure: knows no clock.
 */
import type { BoardBooking, BoardMachine, BoardRound, Span } from '$lib/api/types';
import { dayNumber, halfDayAt, spanOf, type HalfDay } from '$lib/time/halfdays';

export type CellKind = 'free' | 'booked' | 'round' | 'handover' | 'past' | 'closed';

export interface Cell {
	kind: CellKind;
	span: Span;
	/** Days across. */
	days: number;
	/** Whole days stand over both rows. */
	whole: boolean;
	booking?: BoardBooking;
	/** The open round that decides who has it. */
	round?: BoardRound;
}
export interface Rows {
	morning: Cell[];
	afternoon: Cell[];
}

interface Half {
	kind: CellKind;
	booking?: BoardBooking;
	round?: BoardRound;
}

function holds(span: Span, half: HalfDay): boolean {
	return halfDayAt(span.from) <= half && half < halfDayAt(span.until);
}

/** What one half-day of a machine is. */
export function halfOf(machine: BoardMachine, half: HalfDay, now: HalfDay): Half {
	const booking = machine.bookings.find((b) => holds(b.span, half));
	if (booking) return { kind: 'booked', booking };
	const before = machine.bookings.find((b) => holds({ from: b.span.until, until: b.held_until }, half));
	if (before) return { kind: 'handover', booking: before };
	if (half < now) return { kind: 'past' };
	const round = machine.rounds.find((r) => holds(r.span, half));
	if (round) return { kind: 'round', round };
	if (machine.free.some((span) => holds(span, half))) return { kind: 'free' };
	// Offered but not free: the handover before the next booking needs it.
	return { kind: machine.availabilities.some((span) => holds(span, half)) ? 'handover' : 'closed' };
}

function same(a: Half, b: Half): boolean {
	return (
		a.kind === b.kind &&
		a.booking?.booking_id === b.booking?.booking_id &&
		a.round?.round_id === b.round?.round_id
	);
}

function cell(half: Half, from: HalfDay, until: HalfDay, days: number, whole: boolean): Cell {
	return { ...half, span: spanOf(from, until), days, whole };
}

/** The cells of one machine over `days` days from a date. Free days stay apart, so that each can be pressed. */
export function rowsOf(machine: BoardMachine, fromOn: string, days: number, now: HalfDay): Rows {
	const rows: Rows = { morning: [], afternoon: [] };
	const first = dayNumber(fromOn) * 2;
	const at = (day: number): [Half, Half] => [
		halfOf(machine, first + day * 2, now),
		halfOf(machine, first + day * 2 + 1, now)
	];
	for (let day = 0; day < days; day += 1) {
		const from = first + day * 2;
		const [morning, afternoon] = at(day);
		if (!same(morning, afternoon)) {
			rows.morning.push(cell(morning, from, from + 1, 1, false));
			rows.afternoon.push(cell(afternoon, from + 1, from + 2, 1, false));
			continue;
		}
		let across = 1;
		while (
			morning.kind !== 'free' &&
			day + across < days &&
			at(day + across).every((h) => same(h, morning))
		) {
			across += 1;
		}
		rows.morning.push(cell(morning, from, from + across * 2, across, true));
		day += across - 1;
	}
	return rows;
}

/** The one or two cells of a machine on one day, for a list by day. */
export function dayOf(machine: BoardMachine, date: string, now: HalfDay): Cell[] {
	const { morning, afternoon } = rowsOf(machine, date, 1, now);
	return [...morning, ...afternoon];
}

/** Whether somebody else holds a time that has not begun: one that can be waited for. */
export function canBeWaitedFor(cell: Cell, today: string): boolean {
	return (
		cell.kind === 'booked' && cell.booking?.yours === false && cell.booking.span.from >= `${today}T00:00:00`
	);
}

/** The first half-day from now on that is free, or none on this board. */
export function firstFree(machine: BoardMachine, now: HalfDay): HalfDay | undefined {
	const starts = machine.free
		.filter((span) => halfDayAt(span.until) > now)
		.map((span) => Math.max(halfDayAt(span.from), now));
	return starts.length > 0 ? Math.min(...starts) : undefined;
}
