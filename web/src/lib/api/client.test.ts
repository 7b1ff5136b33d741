import { afterEach, describe, expect, test, vi } from 'vitest';
import { all, call, inNetwork } from './client';
import { ApiError } from './error';

interface Sent {
	method: string;
	url: string;
	headers: Record<string, string>;
	body: string | undefined;
}

/** Answers calls one after the other, and keeps what was sent. */
function answering(...answers: { status: number; body?: unknown }[]): Sent[] {
	const sent: Sent[] = [];
	vi.stubGlobal('fetch', async (url: string, init: RequestInit) => {
		sent.push({
			method: init.method ?? '',
			url,
			headers: init.headers as Record<string, string>,
			body: init.body as string | undefined
		});
		const answer = answers.shift();
		if (!answer) throw new TypeError('no connection');
		return new Response(answer.body === undefined ? null : JSON.stringify(answer.body), {
			status: answer.status
		});
	});
	return sent;
}

afterEach(() => vi.unstubAllGlobals());

describe('a call', () => {
	test('carries its key, its version and its body', async () => {
		const sent = answering({ status: 200, body: { ok: true } });
		await call('PUT', '/x', {
			query: { from: '2027-05-04', none: null },
			body: { a: 1 },
			key: 'k',
			version: 3
		});
		expect(sent[0]).toMatchObject({
			method: 'PUT',
			url: '/api/v1/x?from=2027-05-04',
			body: '{"a":1}',
			headers: { 'idempotency-key': 'k', 'if-match': '"v3"', 'content-type': 'application/json' }
		});
	});

	test('renews the session once and is then repeated', async () => {
		const sent = answering(
			{ status: 401, body: {} },
			{ status: 200, body: {} },
			{ status: 200, body: { me: 1 } }
		);
		expect(await call('GET', '/me')).toEqual({ me: 1 });
		expect(sent.map((request) => request.url)).toEqual([
			'/api/v1/me',
			'/api/v1/session/refresh',
			'/api/v1/me'
		]);
	});

	test('is refused when the session cannot be renewed', async () => {
		const sent = answering({ status: 401, body: { code: 'not_signed_in' } }, { status: 401, body: {} });
		await expect(call('GET', '/me')).rejects.toMatchObject({ status: 401, code: 'not_signed_in' });
		expect(sent).toHaveLength(2);
	});

	test('of signing in itself is never repeated', async () => {
		const sent = answering({ status: 401, body: { code: 'wrong_credentials' } });
		await expect(call('POST', '/session', { body: {}, renew: false })).rejects.toBeInstanceOf(ApiError);
		expect(sent).toHaveLength(1);
	});

	test('that reaches nobody says so in plain words', async () => {
		answering();
		await expect(call('GET', '/me')).rejects.toMatchObject({
			status: 0,
			code: 'no_connection',
			unsure: true
		});
	});
});

test('every page of a list is fetched', async () => {
	const sent = answering(
		{ status: 200, body: { items: [1, 2], next_cursor: 'c' } },
		{ status: 200, body: { items: [3], next_cursor: null } }
	);
	expect(await all<number>(inNetwork('n/1', 'clubs'))).toEqual([1, 2, 3]);
	expect(sent.map((request) => request.url)).toEqual([
		'/api/v1/networks/n%2F1/clubs?limit=200',
		'/api/v1/networks/n%2F1/clubs?limit=200&cursor=c'
	]);
});
