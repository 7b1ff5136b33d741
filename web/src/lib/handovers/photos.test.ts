import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { PhotoPost } from './photos';

/** What was sent, by id; the signal goes when `left` is used up. */
let sent: string[] = [];
let left = 0;

vi.mock('./calls', () => ({
	sendFile: async (_network: string, id: string) => {
		if (left === 0) throw new Error('no signal');
		left -= 1;
		sent.push(id);
	}
}));

/** A database that holds a photo under every id. */
function everyPhoto() {
	const request = (result: unknown) => {
		const made: { result: unknown; onsuccess?: () => void } = { result };
		queueMicrotask(() => made.onsuccess?.());
		return made;
	};
	const store = { get: () => request(new Blob(['photo'])) };
	const database = { transaction: () => ({ objectStore: () => store }), close: () => undefined };
	return { open: () => request(database) };
}

beforeEach(() => {
	sent = [];
	vi.stubGlobal('indexedDB', everyPhoto());
});
afterEach(() => vi.unstubAllGlobals());

test('a photo that has arrived is not sent again when the signal comes back', async () => {
	const post = new PhotoPost();
	left = 1;
	await expect(post.send('n', ['a', 'b'])).rejects.toThrow('no signal');
	left = 9;
	await post.send('n', ['a', 'b']);
	expect(sent).toEqual(['a', 'b']);
});

test('after a refusal every photo is sent again, under the same id', async () => {
	const post = new PhotoPost();
	left = 9;
	await post.send('n', ['a']);
	post.startAgain();
	await post.send('n', ['a']);
	expect(sent).toEqual(['a', 'a']);
});
