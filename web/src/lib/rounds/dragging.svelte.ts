/**
 * Dragging a block over the cells of a timetable, by mouse, pen or finger. A cell says which half-day it begins, how
 * many it spans, and whose machine's it is; what a drop means is the timetable's business.
 */
import type { HalfDay } from '$lib/time/halfdays';

export interface Over {
	half: HalfDay;
	machineId: string;
}

/** From this many px on a press is a drag. */
const BEGINS_PX = 6;
/** So near the edge of what scrolls, a drag scrolls it, by so much. */
const EDGE_PX = 36;
const SCROLLED_PX = 14;

/** Where a point is in the half-days of a cell. */
function halfUnder(cell: HTMLElement, x: number): HalfDay {
	const { left, width } = cell.getBoundingClientRect();
	const halves = Number(cell.dataset.halves ?? 1);
	const share = width > 0 ? (x - left) / width : 0;
	return Number(cell.dataset.half) + Math.min(Math.max(Math.floor(share * halves), 0), halves - 1);
}

export class Dragging {
	/** What is dragged; empty while nothing is. */
	requestId = $state('');
	over: Over | undefined = $state();
	/** Whether the press that ends now was a drag, so that the click after it says nothing. */
	moved = false;
	#from = { x: 0, y: 0 };
	#held = '';
	/** In which of its half-days the block was taken hold of. */
	#offset = 0;

	begin(event: PointerEvent & { currentTarget: HTMLElement }, requestId: string): void {
		if (event.button !== 0) return;
		this.moved = false;
		this.#held = requestId;
		this.#from = { x: event.clientX, y: event.clientY };
		const cell = event.currentTarget.closest<HTMLElement>('[data-half]');
		this.#offset = cell ? halfUnder(cell, event.clientX) - Number(cell.dataset.half) : 0;
		event.currentTarget.setPointerCapture(event.pointerId);
	}

	/** Says whether the drag began with this move. */
	move(event: PointerEvent & { currentTarget: HTMLElement }): boolean {
		if (this.#held === '') return false;
		const far = Math.hypot(event.clientX - this.#from.x, event.clientY - this.#from.y);
		if (!this.moved && far < BEGINS_PX) return false;
		const begins = !this.moved;
		this.moved = true;
		this.requestId = this.#held;
		const under = document.elementFromPoint(event.clientX, event.clientY);
		const cell = under?.closest<HTMLElement>('[data-half]');
		this.over = cell
			? { half: halfUnder(cell, event.clientX) - this.#offset, machineId: cell.dataset.machine ?? '' }
			: undefined;
		this.#scroll(event);
		return begins;
	}

	/** Where it was dropped; nothing where it was not dragged, or dropped outside. */
	end(): Over | undefined {
		const dropped = this.moved ? this.over : undefined;
		this.cancel();
		return dropped;
	}

	cancel(): void {
		this.#held = '';
		this.requestId = '';
		this.over = undefined;
	}

	#scroll(event: PointerEvent & { currentTarget: HTMLElement }): void {
		const box = event.currentTarget.closest('.across');
		if (!box) return;
		const { left, right } = box.getBoundingClientRect();
		if (event.clientX > right - EDGE_PX) box.scrollLeft += SCROLLED_PX;
		else if (event.clientX < left + EDGE_PX) box.scrollLeft -= SCROLLED_PX;
	}
}
