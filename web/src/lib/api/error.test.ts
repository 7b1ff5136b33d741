import { expect, test } from 'vitest';
import { fieldName, problemFrom } from './error';

test('a problem document keeps its code, its fields and its extensions', () => {
	const error = problemFrom(409, {
		type: 'about:blank',
		title: 'Taken',
		status: 409,
		detail: 'Another club holds the machine then.',
		code: 'machine_taken',
		errors: [{ field: '/span/from', detail: 'Taken.' }],
		free: [{ from: '2027-05-04T00:00:00', until: '2027-05-05T00:00:00' }],
		request_id: 'r1'
	});
	expect(error.code).toBe('machine_taken');
	expect(error.title).toBe('Taken');
	expect(error.message).toBe('Another club holds the machine then.');
	expect(error.fieldError('span.from')).toBe('Taken.');
	expect(error.extensions).toEqual({ free: [{ from: '2027-05-04T00:00:00', until: '2027-05-05T00:00:00' }] });
	expect(error.unsure).toBe(false);
});

test('an answer that is not a problem document is still an error in words', () => {
	const error = problemFrom(502, undefined);
	expect(error.code).toBe('http_502');
	expect(error.message).toContain('try again');
	expect(error.unsure).toBe(true);
});

test('a field has one name however it is pointed at', () => {
	expect(['#/a/0/b', '/a/0/b', 'a.0.b'].map(fieldName)).toEqual(['a.0.b', 'a.0.b', 'a.0.b']);
});
