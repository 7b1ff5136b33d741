/** Money in whole pence, and how to write and read it. */

/** "£1,412.50", "−£3.00". */
export function moneyWords(pence: number): string {
	const sign = pence < 0 ? '−' : '';
	const whole = Math.floor(Math.abs(pence) / 100).toLocaleString('en-GB');
	const rest = String(Math.abs(pence) % 100).padStart(2, '0');
	return `${sign}£${whole}.${rest}`;
}

/** Pence from what a person types: "412.50", "£412", "1,412.5"; undefined when it is not an amount. */
export function penceFrom(typed: string): number | undefined {
	const plain = typed.replace(/[£,\s]/g, '');
	const match = /^(\d+)(?:\.(\d{1,2}))?$/.exec(plain);
	if (!match) return undefined;
	return Number(match[1]) * 100 + Number((match[2] ?? '').padEnd(2, '0'));
}

/** "20 %", "17.5 %" from basis points. */
export function percentWords(basisPoints: number): string {
	return `${basisPoints / 100} %`;
}
