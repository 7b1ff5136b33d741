import { expect, test } from 'vitest';
import { freshId, freshKey } from './ids';

test('a key is a version 4 UUID and never the same twice', () => {
	const [a, b] = [freshKey(), freshKey()];
	expect(a).toMatch(/^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
	expect(a).not.toBe(b);
});

test('an id is a version 7 UUID that begins with its time', () => {
	const id = freshId(0x018f00112233);
	expect(id).toMatch(/^018f0011-2233-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
});
