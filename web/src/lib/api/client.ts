/**
 * The one way to the server. Sends and reads JSON, renews the session once when it has run out, and turns every
 * failure into an `ApiError`. Cookies are HttpOnly: nothing here ever sees a token.
 */
import { ApiError, problemFrom } from './error';

const BASE = '/api/v1';

type QueryValue = string | number | boolean | null | undefined;

export interface Ask {
	query?: Record<string, QueryValue>;
	body?: unknown;
	/** A file, sent as it is, in place of a body. */
	file?: Blob;
	/** Idempotency-Key: one per form, kept until the outcome is known. */
	key?: string;
	/** Version of the thing being changed; sent as If-Match. */
	version?: number;
	/** False where a 401 is an answer and not an ended session. */
	renew?: boolean;
}

function address(path: string, query: Ask['query']): string {
	const search = new URLSearchParams();
	for (const [name, value] of Object.entries(query ?? {})) {
		if (value !== undefined && value !== null && value !== '') search.set(name, String(value));
	}
	const tail = search.size > 0 ? `?${search}` : '';
	return `${BASE}${path}${tail}`;
}

async function send(method: string, path: string, ask: Ask): Promise<Response> {
	const headers: Record<string, string> = { accept: 'application/json, application/problem+json' };
	if (ask.body !== undefined) headers['content-type'] = 'application/json';
	if (ask.file !== undefined) headers['content-type'] = 'application/octet-stream';
	const body = ask.file ?? (ask.body === undefined ? undefined : JSON.stringify(ask.body));
	if (ask.key !== undefined) headers['idempotency-key'] = ask.key;
	if (ask.version !== undefined) headers['if-match'] = `"v${ask.version}"`;
	try {
		return await fetch(address(path, ask.query), {
			method,
			headers,
			credentials: 'same-origin',
			...(body === undefined ? {} : { body })
		});
	} catch {
		throw new ApiError(
			0,
			'no_connection',
			'The server could not be reached. Check your signal and press again; nothing you typed is lost.'
		);
	}
}

async function read(response: Response): Promise<unknown> {
	if (response.status === 204) return undefined;
	const text = await response.text();
	if (text === '') return undefined;
	try {
		return JSON.parse(text);
	} catch {
		return undefined;
	}
}

let renewing: Promise<boolean> | undefined;

/** Renews the session; calls at the same time share one renewal, and tabs take turns. */
function renewSession(): Promise<boolean> {
	const renew = async () => (await send('POST', '/session/refresh', { body: {} })).ok;
	renewing ??= (async () => {
		try {
			const locks = globalThis.navigator?.locks;
			return locks ? await locks.request('turfring-session', renew) : await renew();
		} finally {
			renewing = undefined;
		}
	})();
	return renewing;
}

/** Calls the API; `path` begins after /api/v1. */
export async function call<T>(method: string, path: string, ask: Ask = {}): Promise<T> {
	let response = await send(method, path, ask);
	if (response.status === 401 && ask.renew !== false && (await renewSession())) {
		response = await send(method, path, ask);
	}
	const body = await read(response);
	if (!response.ok) throw problemFrom(response.status, body);
	return body as T;
}

export const get = <T>(path: string, query?: Ask['query']) => call<T>('GET', path, query ? { query } : {});
export const post = <T>(path: string, ask: Ask) => call<T>('POST', path, ask);
export const put = <T>(path: string, ask: Ask) => call<T>('PUT', path, ask);
export const remove = <T>(path: string, ask: Ask = {}) => call<T>('DELETE', path, ask);

/** Every item of a list that comes in pages. */
export async function all<T>(path: string, query: Ask['query'] = {}): Promise<T[]> {
	const items: T[] = [];
	let cursor: string | null = null;
	do {
		const page: { items: T[]; next_cursor?: string | null } = await get(path, {
			...query,
			limit: 200,
			cursor
		});
		items.push(...page.items);
		cursor = page.next_cursor ?? null;
	} while (cursor !== null);
	return items;
}

/** The path of something in a network, each part made safe for an address. */
export function inNetwork(networkId: string, ...parts: string[]): string {
	return `/networks/${[networkId, ...parts].map(encodeURIComponent).join('/')}`;
}
