import { expect, test } from 'vitest';
import { numberFrom, typedNumber } from './numbers';

test('a number is read with a point or a comma; an empty box is not zero', () => {
	expect(['1.6', '1,6', ' 12 ', '-3'].map(numberFrom)).toEqual([1.6, 1.6, 12, -3]);
	expect(numberFrom('')).toBeNull();
	expect(['1.6.2', 'six', '1e9'].map(numberFrom)).toEqual([undefined, undefined, undefined]);
	expect(typedNumber(null)).toBe('');
});
