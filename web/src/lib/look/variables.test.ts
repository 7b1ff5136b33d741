import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';

const css = readFileSync(new URL('./variables.css', import.meta.url), 'utf8');
const [lightPart, darkPart] = css.split('@media') as [string, string];

function colours(part: string): Record<string, string> {
	return Object.fromEntries([...part.matchAll(/--([\w-]+): (#[0-9a-f]{6});/g)].map((m) => [m[1], m[2]]));
}

function luminance(hex: string): number {
	const [r, g, b] = [1, 3, 5].map((at) => {
		const c = parseInt(hex.slice(at, at + 2), 16) / 255;
		return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
	}) as [number, number, number];
	return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a: string, b: string): number {
	const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x) as [number, number];
	return (high + 0.05) / (low + 0.05);
}

const grounds = ['chalk', 'chalk-raised'];
const washes = ['turf-wash', 'straw-wash', 'clay-wash', 'stripe-a', 'stripe-b'];
const textPairs: [string, string][] = [
	...['soil', 'soil-soft', 'turf', 'turf-deep', 'straw', 'clay'].flatMap((ink) =>
		grounds.map((ground): [string, string] => [ink, ground])
	),
	...washes.map((ground): [string, string] => ['soil', ground]),
	['soil-soft', 'turf-wash'],
	['soil-soft', 'straw-wash'],
	['turf', 'turf-wash'],
	['straw', 'straw-wash'],
	['clay', 'clay-wash'],
	['on-turf', 'turf'],
	['on-turf', 'turf-deep'],
	['on-clay', 'clay']
];

describe.each([
	['light', colours(lightPart)],
	['dark', colours(darkPart)]
])('%s theme', (_, theme) => {
	test.each(textPairs)('%s on %s has a contrast of at least 7:1', (ink, ground) => {
		expect(contrast(theme[ink] ?? '', theme[ground] ?? '')).toBeGreaterThanOrEqual(7);
	});
	test.each(grounds)('control edges on %s have a contrast of at least 3:1', (ground) => {
		expect(contrast(theme.edge ?? '', theme[ground] ?? '')).toBeGreaterThanOrEqual(3);
		expect(contrast(theme.focus ?? '', theme[ground] ?? '')).toBeGreaterThanOrEqual(3);
	});
});
