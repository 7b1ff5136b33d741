import { expect, test } from 'vitest';
import { fieldsOf, tagsOf, typeWords, type ApiDocument } from './document';

const document: ApiDocument = {
	tags: [{ name: 'machines', description: 'What is shared.' }, { name: 'unused' }],
	paths: {
		'/machines/{id}': {
			get: {
				operationId: 'get_machine',
				tags: ['machines'],
				parameters: [{ name: 'id', in: 'path', required: true, schema: { type: 'string', format: 'uuid' } }],
				responses: {
					'200': {
						description: 'The machine',
						content: { 'application/json': { schema: { $ref: '#/x/Machine' } } }
					},
					'404': { description: 'Absent: `not_found`.' }
				}
			}
		}
	}
};

test('operations are grouped by tag, and tags without any are left out', () => {
	const tags = tagsOf(document);
	expect(tags.map((tag) => [tag.name, tag.about])).toEqual([['machines', 'What is shared.']]);
	expect(tags[0]?.operations[0]).toMatchObject({
		id: 'get_machine',
		method: 'GET',
		summary: 'get machine',
		parameters: [{ name: 'id', where: 'path', words: 'string (uuid)', needed: true }],
		answers: [
			{ status: '200', type: { words: 'Machine', shape: 'Machine' }, codes: [] },
			{ status: '404', codes: ['not_found'] }
		]
	});
});

test('types are said in words', () => {
	expect(typeWords({ type: 'array', items: { $ref: '#/x/Span' } })).toEqual({
		words: 'list of Span',
		shape: 'Span'
	});
	expect(typeWords({ type: ['integer', 'null'], format: 'int32' }).words).toBe('integer (int32) or null');
	expect(typeWords({ oneOf: [{ type: 'null' }, { $ref: '#/x/Span' }] })).toEqual({
		words: 'null or Span',
		shape: 'Span'
	});
	expect(typeWords({ type: 'string', enum: ['a', 'b'] }).words).toBe('one of a, b');
});

test('fields say whether they are needed and what their limits are', () => {
	expect(
		fieldsOf({ properties: { n: { type: 'integer', minimum: 1, description: 'How many' } }, required: ['n'] })
	).toEqual([{ name: 'n', words: 'integer', needed: true, about: 'How many; at least 1' }]);
});

test('a shape made of others shows their fields too', () => {
	const shapes = { Place: { properties: { name: { type: 'string' } }, required: ['name'] } };
	const pitch = { allOf: [{ $ref: '#/x/Place' }, { properties: { area_m2: { type: 'integer' } } }] };
	expect(fieldsOf(pitch, shapes).map((row) => [row.name, row.needed])).toEqual([
		['name', true],
		['area_m2', false]
	]);
});
