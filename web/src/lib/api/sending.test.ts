import { expect, test } from 'vitest';
import { ApiError } from './error';
import { Sending } from './sending.svelte';

/** Sends once and tells with which key, refusing with the given status. */
async function keyOf(sending: Sending, status?: number): Promise<string> {
	let used = '';
	await sending.run(async (key) => {
		used = key;
		if (status !== undefined) throw new ApiError(status, 'refused', 'No.');
	});
	return used;
}

test('the key stays while it is not known whether the first sending arrived', async () => {
	const sending = new Sending();
	const first = await keyOf(sending, 0);
	expect(sending.error?.status).toBe(0);
	expect(await keyOf(sending, 503)).toBe(first);
	expect(await keyOf(sending)).toBe(first);
	expect(sending.error).toBeUndefined();
	expect(await keyOf(sending)).not.toBe(first);
});

test('after a refusal the next sending is a new attempt', async () => {
	const sending = new Sending();
	const first = await keyOf(sending, 422);
	expect(await keyOf(sending)).not.toBe(first);
});

test('nothing is sent twice at the same time', async () => {
	const sending = new Sending();
	let open: () => void = () => undefined;
	const slow = sending.run(() => new Promise<void>((resolve) => (open = resolve)));
	expect(sending.busy).toBe(true);
	expect(await keyOf(sending)).toBe('');
	open();
	await slow;
	expect(sending.busy).toBe(false);
});
