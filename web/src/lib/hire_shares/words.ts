/** Hires and their sharing, in words. */
import type { HireCosts, MachineWorth, ShareRule } from '$lib/api/types';
import { moneyWords } from '$lib/money/money';

export const ruleWords: Record<ShareRule, { name: string; how: string }> = {
	equal_discount: {
		name: 'Equal discount',
		how: 'Each pays the total × what it would pay alone ÷ what all would pay alone: everyone saves the same per cent.'
	},
	by_hours: {
		name: 'By hours',
		how: 'Each pays in proportion to the minutes of work. It is blind to distance and short days.'
	},
	shapley: {
		name: 'By what each adds',
		how: 'Each pays what it adds to the clubs before it, averaged over every order in which the clubs could come (Shapley’s value).'
	}
};

/** "3 h 13 min". */
export function workWords(minutes: number): string {
	const hours = Math.floor(minutes / 60);
	return `${hours} h ${String(minutes % 60).padStart(2, '0')} min`;
}

/** "1.54 ha". */
export function hectareWords(area_m2: number): string {
	return `${(area_m2 / 10_000).toFixed(2)} ha`;
}

/** A club's part in a hire, entered or expected. */
export interface ShareRow {
	club_id: string;
	club_name: string;
	half_days: number;
	work_min: number;
	area_m2: number;
	alone_pence: number;
	share_pence: number;
	helper_pence: number;
	owes_pence: number;
}

/** What was entered; before that, what is to be expected. */
export function shareRows(costs: HireCosts): ShareRow[] {
	return (
		costs.entered?.shares ??
		costs.parts.map((part) => ({
			...part,
			alone_pence: part.alone.total_pence,
			owes_pence: part.share_pence + part.helper_pence
		}))
	);
}

/** "pays £1,127.90 × £351.48 ÷ £1,405.92 = £281.98". */
export function shareFormula(costs: HireCosts, row: ShareRow): string {
	const { entered } = costs;
	const fund = entered ? entered.fund_pence : costs.shortfall_pence;
	if (fund > 0) return `pays as alone, ${moneyWords(row.share_pence)}.`;
	if (entered && entered.rule !== 'equal_discount') return `pays ${moneyWords(row.share_pence)}.`;
	const [total, alone] = entered
		? [entered.total_pence, entered.alone_pence]
		: [costs.bill.total_pence, costs.alone_pence];
	return `pays ${moneyWords(total)} × ${moneyWords(row.alone_pence)} ÷ ${moneyWords(alone)} = ${moneyWords(row.share_pence)}.`;
}

/** "Tansyford RFC owes £281.98 for the aerator, £69.50 less than hiring it alone for its 2 half-days." */
function ownWords(costs: HireCosts, row: ShareRow): string {
	const saved = row.alone_pence - row.share_pence;
	const days = row.half_days === 1 ? 'half-day' : `${row.half_days} half-days`;
	const why =
		saved > 0
			? `${moneyWords(saved)} less than hiring it alone for its ${days}`
			: `as much as hiring it alone for its ${days}`;
	const trips =
		row.helper_pence > 0 ? `, of it ${moneyWords(row.helper_pence)} for the lent tractor’s trips` : '';
	const verb = costs.entered ? (costs.entered.settled_at ? 'paid' : 'owes') : 'would pay';
	return `${row.club_name} ${verb} ${moneyWords(row.owes_pence)} for ${costs.machine_name}${trips}: ${why}.`;
}

/** What the costs of a hire come to, in one sentence: for the own club, where that is one of it, else for all. */
export function costsAnswer(costs: HireCosts, ownClubs: string[] = []): string {
	const { machine_name: name, entered } = costs;
	const own = shareRows(costs).filter((row) => ownClubs.includes(row.club_id));
	if (own.length === 1 && own[0]) return ownWords(costs, own[0]);
	if (entered) return `${name} came to ${moneyWords(entered.total_pence)}; what each club owes is entered.`;
	if (costs.clubs === 0) return `No club has ${name} yet, so there is nothing to share.`;
	if (!costs.worth_it) {
		return `${name} costs ${moneyWords(costs.shortfall_pence)} more than its clubs would pay alone.`;
	}
	return `No club pays more than alone: ${moneyWords(costs.bill.total_pence)} together instead of ${moneyWords(costs.alone_pence)}.`;
}

/** The same for a round, of one hire or of several. */
export function roundAnswer(costs: HireCosts[], ownClubs: string[]): string {
	const [first] = costs;
	if (!first) return 'Nothing is hired for this round.';
	if (costs.length === 1) return costsAnswer(first, ownClubs);
	const own = costs.flatMap((each) => shareRows(each).filter((row) => ownClubs.includes(row.club_id)));
	const owes = own.reduce((sum, row) => sum + row.owes_pence, 0);
	const clubs = new Set(own.map((row) => row.club_id));
	if (clubs.size === 1 && own[0]) {
		const verb = costs.every((each) => each.entered) ? 'owes' : 'would pay';
		return `${own[0].club_name} ${verb} ${moneyWords(owes)} for ${costs.length} hires together.`;
	}
	const total = costs.reduce((sum, each) => sum + (each.entered?.total_pence ?? each.bill.total_pence), 0);
	return `${costs.length} hires come to ${moneyWords(total)} together.`;
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
			(use.area_m2 / 10_000).toFixed(4),
			pounds(use.pence),
			pounds(use.pence_per_ha)
		].join(',');
	const head = 'club,bookings,half_days,hours,hectares,pounds,pounds_per_hectare';
	const rows = worth.clubs.map((club) => row(club.club_name, club));
	return [head, ...rows, row('All clubs', worth.total)].join('\r\n') + '\r\n';
}
