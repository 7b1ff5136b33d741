import { describe, expect, it } from 'vitest';
import { apart, arrowOn, flattened, onSheet, placeNames, scaleBar } from './drawing';

const far = (a: { x: number; y: number }, b: { x: number; y: number }) => Math.hypot(a.x - b.x, a.y - b.y);

describe('places laid flat', () => {
	it('keeps lengths as independent geodesics give them', () => {
		// Rows h010 and h012 of tests/reference/values.csv (geographiclib 2.1), km.
		const [south, north] = flattened([
			{ latitude_deg: 54.0, longitude_deg: -1.5 },
			{ latitude_deg: 54.1, longitude_deg: -1.5 }
		]);
		expect(Math.abs(far(south!, north!) / 11.130593 - 1)).toBeLessThan(0.003);
		const [one, other] = flattened([
			{ latitude_deg: 51.5, longitude_deg: 0 },
			{ latitude_deg: 51.6, longitude_deg: 0.1 }
		]);
		expect(Math.abs(far(one!, other!) / 13.111043 - 1)).toBeLessThan(0.003);
	});

	it('has north above and east to the right, about the middle', () => {
		const [one, other] = flattened([
			{ latitude_deg: 54, longitude_deg: -1 },
			{ latitude_deg: 53, longitude_deg: -2 }
		]);
		expect(one!.y).toBeLessThan(other!.y);
		expect(one!.x).toBeGreaterThan(other!.x);
		expect(one!.x + other!.x).toBeCloseTo(0);
		expect(flattened([])).toEqual([]);
	});
});

describe('a sheet', () => {
	it('has one scale both ways, and everything within the margin', () => {
		const spots = [
			{ x: 0, y: 0 },
			{ x: 30, y: 40 },
			{ x: -20, y: 10 }
		];
		const sheet = onSheet(spots, { width: 360, margin: 40, tallest: 600 });
		expect(far(sheet.spots[0]!, sheet.spots[1]!)).toBeCloseTo(50 * sheet.pxPerKm);
		expect(far(sheet.spots[0]!, sheet.spots[2]!)).toBeCloseTo(Math.hypot(20, 10) * sheet.pxPerKm);
		for (const spot of sheet.spots) {
			expect(spot.x).toBeGreaterThanOrEqual(39.999);
			expect(spot.x).toBeLessThanOrEqual(320.001);
			expect(spot.y).toBeGreaterThanOrEqual(39.999);
			expect(spot.y).toBeLessThanOrEqual(sheet.height - 39.999);
		}
	});

	it('holds a single place, and places all on one spot', () => {
		const sheet = onSheet([{ x: 0, y: 0 }], { width: 360, margin: 40, tallest: 600 });
		expect(sheet.spots[0]!.x).toBeGreaterThan(0);
		expect(Number.isFinite(sheet.pxPerKm)).toBe(true);
	});

	it('has a bar of a round length that fits', () => {
		expect(scaleBar(4, 100)).toEqual({ km: 20, px: 80 });
		expect(scaleBar(10, 60)).toEqual({ km: 5, px: 50 });
		expect(scaleBar(100, 60).km).toBeCloseTo(0.5);
	});
});

describe('badges and names', () => {
	it('pushes badges apart, those on one spot too, and leaves others where they are', () => {
		const pushed = apart(
			[
				{ x: 10, y: 10 },
				{ x: 10, y: 10 },
				{ x: 14, y: 12 },
				{ x: 200, y: 200 }
			],
			26
		);
		pushed.forEach((one, at) =>
			pushed.slice(at + 1).forEach((other) => expect(far(one, other)).toBeGreaterThanOrEqual(25.9))
		);
		expect(pushed[3]).toEqual({ x: 200, y: 200 });
	});

	const sheet = { left: 0, top: 0, width: 300, height: 200 };
	it('puts a name beside its badge, off lines where it can', () => {
		const badge = { at: { x: 100, y: 100 }, radius: 12, width: 80 };
		const line = { from: { x: 100, y: 100 }, to: { x: 300, y: 100 } };
		const [free] = placeNames([badge], { lineHeight: 18, lines: [], sheet, taken: [] });
		expect(free).toEqual({ left: 115, top: 91, width: 80, height: 18 });
		const [beside] = placeNames([badge], { lineHeight: 18, lines: [line], sheet, taken: [] });
		expect(beside!.left).toBe(5);
	});

	it('leaves a name out where there is no room, rather than over another', () => {
		const crowd = Array.from({ length: 12 }, (_none, at) => ({
			at: { x: 140 + (at % 4) * 26, y: 80 + Math.floor(at / 4) * 26 },
			radius: 12,
			width: 90
		}));
		const boxes = placeNames(crowd, { lineHeight: 18, lines: [], sheet, taken: [] });
		const placed = boxes.filter((box) => box !== undefined);
		expect(placed.length).toBeGreaterThan(0);
		expect(placed.length).toBeLessThan(12);
		placed.forEach((one, at) =>
			placed
				.slice(at + 1)
				.forEach((other) =>
					expect(
						one.left + one.width <= other.left ||
							other.left + other.width <= one.left ||
							one.top + one.height <= other.top ||
							other.top + other.height <= one.top
					).toBe(true)
				)
		);
	});

	it('points an arrow the way of the line, and none on a line too short for it', () => {
		expect(arrowOn({ from: { x: 0, y: 0 }, to: { x: 100, y: 0 } }, 5)).toBe('M41.0 5.0L51.0 0.0L41.0 -5.0Z');
		expect(arrowOn({ from: { x: 0, y: 0 }, to: { x: 10, y: 0 } }, 5)).toBeUndefined();
	});
});
