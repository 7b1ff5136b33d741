/** What a machine was used for in a season, in words and as a table to take away. */
import type { MachineWorth } from '$lib/api/types';
import { moneyWords } from '$lib/money/money';
import { hectareWords, workWords } from './words';

/** "2026/27". */
export function seasonWords(beginsIn: number): string {
	return `${beginsIn}/${String((beginsIn + 1) % 100).padStart(2, '0')}`;
}

/** What a season's use comes to, in one sentence. */
export function worthAnswer(worth: MachineWorth): string {
	const { machine_name: name, total } = worth;
	const season = seasonWords(worth.season);
	if (total.bookings === 0) return `Nobody had ${name} in ${season}.`;
	const ground = total.area_m2 > 0 ? ` on ${hectareWords(total.area_m2)}` : '';
	const rate =
		total.pence_per_ha === null || total.pence === 0
			? ''
			: `, at ${moneyWords(total.pence_per_ha)} a hectare`;
	const idle = worth.days_offered > 0 ? `; it stood on ${worth.days_idle} of ${worth.days_offered} days` : '';
	return `${name} worked ${workWords(total.work_min)}${ground} in ${season}${rate}${idle}.`;
}

/** Where the hours of a season come from. */
export function seasonHours(total: MachineWorth['total']): string {
	if (total.signed_min === 0)
		return 'Hours are reckoned: no handover of the season was signed at both ends with the hour meter.';
	if (total.signed_min === total.work_min)
		return 'Hours are those of the hour meter, signed for at handovers.';
	return `Of the hours, ${workWords(total.signed_min)} are those of the hour meter, signed for at handovers; the rest is reckoned.`;
}

/** A season's use as comma-separated values (RFC 4180). */
export function worthCsv(worth: MachineWorth): string {
	const quoted = (text: string) => `"${text.replaceAll('"', '""')}"`;
	const pounds = (pence: number | null) => (pence === null ? '' : (pence / 100).toFixed(2));
	const row = (name: string, use: MachineWorth['total'] | MachineWorth['clubs'][number]) =>
		[
			quoted(name),
			use.bookings,
			use.half_days,
			(use.work_min / 60).toFixed(2),
			(use.signed_min / 60).toFixed(2),
			(use.area_m2 / 10_000).toFixed(4),
			pounds(use.pence),
			pounds(use.pence_per_ha)
		].join(',');
	const head = 'club,bookings,half_days,hours,hours_by_meter,hectares,pounds,pounds_per_hectare';
	const rows = worth.clubs.map((club) => row(club.club_name, club));
	return [head, ...rows, row('All clubs', worth.total)].join('\r\n') + '\r\n';
}
