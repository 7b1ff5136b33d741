import { expect, test } from 'vitest';
import { safePath } from './after';

test('only a path of this site is followed after signing in', () => {
	expect(safePath('/orders/1')).toBe('/orders/1');
	expect(safePath(null)).toBe('/');
	for (const elsewhere of ['https://example.org', '//example.org', '/\\example.org', 'orders']) {
		expect(safePath(elsewhere)).toBe('/');
	}
});
