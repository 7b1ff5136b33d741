import { describe, expect, test } from 'vitest';
import { amountWords, kgFrom, shortAmount, typedFrom } from './amounts';
import { moneyWords, penceFrom, percentWords } from './money';

describe('money', () => {
	test('pence are written with pounds, a comma and two figures', () => {
		expect([0, 5, 41250, 141250, -300].map(moneyWords)).toEqual([
			'£0.00',
			'£0.05',
			'£412.50',
			'£1,412.50',
			'−£3.00'
		]);
	});
	test('what is typed becomes pence without floating point', () => {
		expect(['412.50', '£1,412', '0.29', '19.9'].map(penceFrom)).toEqual([41250, 141200, 29, 1990]);
		expect(['', 'ten', '1.234', '-3'].map(penceFrom)).toEqual([undefined, undefined, undefined, undefined]);
	});
	test('basis points become per cent', () => {
		expect(percentWords(2000)).toBe('20 %');
		expect(percentWords(1750)).toBe('17.5 %');
	});
});

describe('amounts', () => {
	test('sand is said in tonnes, seed in bags', () => {
		expect(amountWords(29000, 'tonne', 1000)).toBe('29 t');
		expect(amountWords(1500, 'tonne', 1000)).toBe('1.5 t');
		expect(amountWords(180, 'bag', 20)).toBe('9 bags of 20 kg');
		expect(shortAmount(20, 'bag', 20)).toBe('1 bag');
	});
	test('a typed count becomes kilograms and comes back the same', () => {
		expect(kgFrom('29', 'tonne', 1000)).toBe(29000);
		expect(kgFrom(' 9 ', 'bag', 20)).toBe(180);
		expect(typedFrom(180, 'bag', 20)).toBe('9');
		expect(['0', '-1', 'x', ''].map((typed) => kgFrom(typed, 'bag', 20))).toEqual([
			undefined,
			undefined,
			undefined,
			undefined
		]);
	});
});
