/**
 * A map without a map: places laid flat, fitted to a sheet, badges kept apart, names put where there is room.
 * Pure; knows no plan and no page. It draws no roads, and says so to whoever uses it.
 */

export interface Spot {
	x: number;
	y: number;
}
export interface Position {
	latitude_deg: number;
	longitude_deg: number;
}
export interface Line {
	from: Spot;
	to: Spot;
}
export interface Box {
	left: number;
	top: number;
	width: number;
	height: number;
}

/** Mean radius of the earth, km (IUGG). */
const EARTH_KM = 6371.0088;
const RADIANS = Math.PI / 180;

/**
 * Positions on a plane, km east and km south of their middle: equirectangular about the mean latitude. Within a region
 * of some hundred kilometres lengths are right to a fraction of a percent (common practice).
 */
export function flattened(positions: Position[]): Spot[] {
	if (positions.length === 0) return [];
	const mean = (of: (at: Position) => number) =>
		positions.reduce((sum, at) => sum + of(at), 0) / positions.length;
	const latitude = mean((at) => at.latitude_deg);
	const longitude = mean((at) => at.longitude_deg);
	const east = EARTH_KM * RADIANS * Math.cos(latitude * RADIANS);
	return positions.map((at) => ({
		x: east * (at.longitude_deg - longitude),
		y: EARTH_KM * RADIANS * (latitude - at.latitude_deg)
	}));
}

/** The least and greatest height of a sheet, as shares of its width. */
const FLATTEST = 0.55;
const TALLEST = 1.2;

/** Spots in km brought onto a sheet of a width in px, all at one scale, with a margin all round for names. */
export function onSheet(
	spots: Spot[],
	{ width, margin, tallest }: { width: number; margin: number; tallest: number }
): { height: number; pxPerKm: number; spots: Spot[] } {
	const xs = spots.map((spot) => spot.x);
	const ys = spots.map((spot) => spot.y);
	const [left, top] = [Math.min(...xs), Math.min(...ys)];
	const wide = Math.max(Math.max(...xs) - left, 1);
	const high = Math.max(Math.max(...ys) - top, 1);
	const inner = width - 2 * margin;
	const wanted = (inner / wide) * high + 2 * margin;
	const height = Math.min(Math.max(wanted, width * FLATTEST), width * TALLEST, tallest);
	const pxPerKm = Math.min(inner / wide, (height - 2 * margin) / high);
	const [before, above] = [(width - wide * pxPerKm) / 2, (height - high * pxPerKm) / 2];
	const at = ({ x, y }: Spot) => ({ x: before + (x - left) * pxPerKm, y: above + (y - top) * pxPerKm });
	return { height, pxPerKm, spots: spots.map(at) };
}

/** The longest round length, 1, 2 or 5 and noughts, that a bar of so many px holds. */
export function scaleBar(pxPerKm: number, longestPx: number): { km: number; px: number } {
	const most = longestPx / pxPerKm;
	const ten = 10 ** Math.floor(Math.log10(most));
	const km = ([5, 2, 1].find((step) => step * ten <= most) ?? 1) * ten;
	return { km, px: km * pxPerKm };
}

const ROUNDS_OF_PUSHING = 80;

/** The same spots, pushed so far that no two are nearer than `least`; always the same for the same spots. */
export function apart(spots: Spot[], least: number): Spot[] {
	const pushed = spots.map((spot) => ({ ...spot }));
	for (let round = 0; round < ROUNDS_OF_PUSHING; round += 1) {
		let settled = true;
		pushed.forEach((one, at) => {
			for (const other of pushed.slice(at + 1)) {
				const [x, y] = [other.x - one.x, other.y - one.y];
				const far = Math.hypot(x, y);
				if (far >= least) continue;
				settled = false;
				// Two on one spot part sideways. A little more than needed, so that it ends.
				const [dx, dy] = far < 0.01 ? [1, 0.3] : [x / far, y / far];
				const by = (least - far) / 2 + 0.05;
				one.x -= dx * by;
				one.y -= dy * by;
				other.x += dx * by;
				other.y += dy * by;
			}
		});
		if (settled) break;
	}
	return pushed;
}

const overlap = (a: Box, b: Box) =>
	a.left < b.left + b.width &&
	b.left < a.left + a.width &&
	a.top < b.top + b.height &&
	b.top < a.top + a.height;

const SAMPLES = 24;
/** Whether a line passes through a box, to within a twenty-fourth of its length. */
function crosses({ from, to }: Line, box: Box): boolean {
	return Array.from({ length: SAMPLES + 1 }, (_none, at) => at / SAMPLES).some((share) => {
		const [x, y] = [from.x + (to.x - from.x) * share, from.y + (to.y - from.y) * share];
		return x > box.left && x < box.left + box.width && y > box.top && y < box.top + box.height;
	});
}

/** Where a name may stand beside its badge, the best first: across, then down, in steps of one. */
const SIDES: [number, number][] = [
	[1, 0],
	[-1, 0],
	[0, -1],
	[0, 1],
	[1, -1],
	[1, 1],
	[-1, -1],
	[-1, 1]
];

/**
 * Boxes for names, each beside its badge where it lies on the sheet, on no badge and on no other name, and on as few
 * lines as can be; nothing where there is no such place: the list tells the name then.
 */
export function placeNames(
	badges: { at: Spot; radius: number; width: number }[],
	{ lineHeight, lines, sheet, taken }: { lineHeight: number; lines: Line[]; sheet: Box; taken: Box[] }
): (Box | undefined)[] {
	const around = badges.map(({ at, radius }) => ({
		left: at.x - radius,
		top: at.y - radius,
		width: 2 * radius,
		height: 2 * radius
	}));
	const full = [...taken];
	return badges.map(({ at, radius, width }) => {
		const reach = radius + 3;
		const boxes = SIDES.map(([across, down]) => ({
			left: at.x + across * reach - (across === 0 ? width / 2 : across < 0 ? width : 0),
			top: at.y + down * (radius + lineHeight / 2) - lineHeight / 2,
			width,
			height: lineHeight
		}));
		const free = boxes.filter(
			(box) =>
				box.left >= sheet.left &&
				box.top >= sheet.top &&
				box.left + width <= sheet.left + sheet.width &&
				box.top + lineHeight <= sheet.top + sheet.height &&
				!full.some((other) => overlap(other, box)) &&
				!around.some((badge) => overlap(badge, box))
		);
		const crossings = (box: Box) => lines.filter((line) => crosses(line, box)).length;
		const best = free.reduce<Box | undefined>(
			(kept, box) => (kept === undefined || crossings(box) < crossings(kept) ? box : kept),
			undefined
		);
		if (best) full.push(best);
		return best;
	});
}

/** An arrowhead on a line, a little before its middle, so that one there and one back are both seen. */
export function arrowOn({ from, to }: Line, size: number): string | undefined {
	const [x, y] = [to.x - from.x, to.y - from.y];
	const long = Math.hypot(x, y);
	if (long < 4 * size) return undefined;
	const [ux, uy] = [x / long, y / long];
	const tip = { x: from.x + x * 0.46 + ux * size, y: from.y + y * 0.46 + uy * size };
	const corner = (side: number) =>
		`${(tip.x - ux * 2 * size - side * uy * size).toFixed(1)} ${(tip.y - uy * 2 * size + side * ux * size).toFixed(1)}`;
	return `M${corner(1)}L${tip.x.toFixed(1)} ${tip.y.toFixed(1)}L${corner(-1)}Z`;
}
