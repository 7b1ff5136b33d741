/** Identifiers a browser can mint by itself, on any origin (`crypto.randomUUID` needs a secure one). */

function hex(bytes: Uint8Array): string {
	const digits = [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
	return [
		digits.slice(0, 8),
		digits.slice(8, 12),
		digits.slice(12, 16),
		digits.slice(16, 20),
		digits.slice(20)
	].join('-');
}

/** A random UUID (version 4): names one sending of a form. */
export function freshKey(): string {
	const bytes = crypto.getRandomValues(new Uint8Array(16));
	bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x40;
	bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
	return hex(bytes);
}

/** A UUID that sorts by time (version 7): the id of a walk begun without signal. */
export function freshId(now: number): string {
	const bytes = crypto.getRandomValues(new Uint8Array(16));
	let rest = now;
	for (let at = 5; at >= 0; at -= 1) {
		bytes[at] = rest % 256;
		rest = Math.floor(rest / 256);
	}
	bytes[6] = ((bytes[6] ?? 0) & 0x0f) | 0x70;
	bytes[8] = ((bytes[8] ?? 0) & 0x3f) | 0x80;
	return hex(bytes);
}
