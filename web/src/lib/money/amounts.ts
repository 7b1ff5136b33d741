/** Masses as people say them: tonnes for what is tipped, bags for what is carried. */

export type SoldBy = 'tonne' | 'bag';

/** The fewest decimals that lose nothing, up to three: 29, 1.5, 0.025. */
export function plainNumber(value: number, decimals = 3): string {
	return value.toLocaleString('en-GB', { maximumFractionDigits: decimals });
}

/** "29 t", "1.5 t" or "9 bags of 20 kg". */
export function amountWords(kg: number, soldBy: SoldBy, unitKg: number): string {
	if (soldBy === 'tonne') return `${plainNumber(kg / 1000)} t`;
	const bags = kg / unitKg;
	return `${plainNumber(bags)} ${bags === 1 ? 'bag' : 'bags'} of ${plainNumber(unitKg)} kg`;
}

/** "29 t" or "9 bags", where the size of a bag is said nearby. */
export function shortAmount(kg: number, soldBy: SoldBy, unitKg: number): string {
	if (soldBy === 'tonne') return `${plainNumber(kg / 1000)} t`;
	const bags = kg / unitKg;
	return `${plainNumber(bags)} ${bags === 1 ? 'bag' : 'bags'}`;
}

/** "tonnes" or "bags": the word a person counts in. */
export function countWord(soldBy: SoldBy): string {
	return soldBy === 'tonne' ? 'tonnes' : 'bags';
}

/** Whole kilograms from a typed count of tonnes or bags; undefined when it is not a number from `least` up. */
export function kgFrom(typed: string, soldBy: SoldBy, unitKg: number, least = 1): number | undefined {
	const plain = typed.trim().replace(/,/g, '');
	if (!/^\d+(\.\d+)?$/.test(plain)) return undefined;
	const kg = Math.round(Number(plain) * (soldBy === 'tonne' ? 1000 : unitKg));
	return kg >= least ? kg : undefined;
}

/** What to put into the box for a mass already held. */
export function typedFrom(kg: number, soldBy: SoldBy, unitKg: number): string {
	return String(kg / (soldBy === 'tonne' ? 1000 : unitKg));
}
