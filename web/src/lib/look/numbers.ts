/** Numbers as people type them into a box. */

/** A number, `null` for an empty box, `undefined` for anything else. A decimal comma is understood. */
export function numberFrom(typed: string): number | null | undefined {
	const plain = typed.trim().replace(',', '.');
	if (plain === '') return null;
	return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : undefined;
}

/** What to put into the box for a value already held. */
export function typedNumber(value: number | null | undefined): string {
	return value === null || value === undefined ? '' : String(value);
}
