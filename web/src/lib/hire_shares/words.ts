/** Hires and their sharing, in words. */
import type { HireCosts, ShareRule } from '$lib/api/types';
import { moneyWords } from '$lib/money/money';

export const ruleWords: Record<ShareRule, { name: string; how: string }> = {
	equal_discount: {
		name: 'Equal discount',
		how: 'Each pays the total × what it would pay alone ÷ what all would pay alone: everyone saves the same per cent, and nobody pays more than alone.'
	},
	by_hours: {
		name: 'By hours',
		how: 'Each pays in proportion to the hours of work. It is blind to distance and to days on which the machine stood.'
	},
	shapley: {
		name: 'By what each adds',
		how: 'Each pays what it adds to the cost of the clubs before it, averaged over every order in which the clubs could come (Shapley’s value).'
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

/** "1 half-day", "3 half-days". */
export function halfDaysWords(count: number): string {
	return count === 1 ? '1 half-day' : `${count} half-days`;
}

/** Where hours come from: "by the hour meter", "reckoned", "2 h 00 min of it by the hour meter". */
export function hoursFrom(row: { work_min: number; signed_min: number }): string {
	if (row.signed_min === 0) return 'reckoned';
	if (row.signed_min === row.work_min) return 'by the hour meter';
	return `${workWords(row.signed_min)} of it by the hour meter, the rest reckoned`;
}

/** A club's part in a hire, entered or expected. */
export interface ShareRow {
	club_id: string;
	club_name: string;
	half_days: number;
	work_min: number;
	signed_min: number;
	area_m2: number;
	alone_pence: number;
	share_pence: number;
	helper_pence: number;
	owes_pence: number;
}

/** What is expected of each club, by the bookings or by a plan. */
export function expectedRows(costs: HireCosts): ShareRow[] {
	return costs.parts.map((part) => ({
		...part,
		alone_pence: part.alone.total_pence,
		owes_pence: part.share_pence + part.helper_pence
	}));
}

/** What was entered; before that, what is to be expected. */
export function shareRows(costs: HireCosts): ShareRow[] {
	return costs.entered?.shares ?? expectedRows(costs);
}

/** How a club's share comes about: "£1,127.90 × £351.48 ÷ £1,405.92 = £281.975, rounded up to £281.98". */
export function shareFormula(costs: HireCosts, row: ShareRow, rows: ShareRow[] = shareRows(costs)): string {
	const { entered } = costs;
	if ((entered ? entered.fund_pence : costs.shortfall_pence) > 0) {
		return `as much as alone, ${moneyWords(row.share_pence)}`;
	}
	const total = entered ? entered.total_pence : costs.total_pence;
	const whole = moneyWords(total);
	switch (entered?.rule ?? 'equal_discount') {
		case 'equal_discount': {
			const alone = entered ? entered.alone_pence : costs.alone_pence;
			const exact = (total * row.alone_pence) / alone;
			return `${whole} × ${moneyWords(row.alone_pence)} ÷ ${moneyWords(alone)} = ${rounded(exact, row.share_pence)}`;
		}
		case 'by_hours': {
			const minutes = rows.reduce((sum, each) => sum + each.work_min, 0);
			if (rows.length < costs.clubs)
				return `by its ${workWords(row.work_min)} of work, ${moneyWords(row.share_pence)}`;
			const exact = (total * row.work_min) / minutes;
			return `${whole} × ${row.work_min} min ÷ ${minutes} min = ${rounded(exact, row.share_pence)}`;
		}
		case 'shapley':
			return `what it adds on average, ${moneyWords(row.share_pence)}`;
	}
}

/** "£281.975, rounded up to £281.98"; only the sum where it comes out even. */
function rounded(exactPence: number, sharePence: number): string {
	const apart = sharePence - exactPence;
	if (Math.abs(apart) < 0.005) return moneyWords(sharePence);
	const exact = `£${(exactPence / 100).toLocaleString('en-GB', { minimumFractionDigits: 4, maximumFractionDigits: 4 })}`;
	return `${exact}, rounded ${apart > 0 ? 'up' : 'down'} to ${moneyWords(sharePence)}`;
}

/** "£69.50 less than alone", "as much as alone". */
function besideAlone(row: ShareRow): string {
	const saved = row.alone_pence - row.share_pence;
	return saved > 0 ? `${moneyWords(saved)} less than alone` : 'as much as alone';
}

/** "Tansyford RFC owes £281.98 for the aerator, £69.50 less than alone; no club pays more than alone." */
function ownWords(costs: HireCosts, row: ShareRow): string {
	const { entered, machine_name: name } = costs;
	const trips =
		row.helper_pence > 0 ? ` (of it ${moneyWords(row.helper_pence)} for a lent tractor’s trips)` : '';
	const sum = `${moneyWords(row.owes_pence)} for ${name}${trips}`;
	if (!entered && !costs.worth_it) {
		return `${name} is too empty by ${moneyWords(costs.shortfall_pence)}: ${row.club_name} would pay ${moneyWords(row.owes_pence)}, as much as alone, if the network’s fund carries that.`;
	}
	const verb = entered ? (entered.settled_at ? 'paid' : 'owes') : 'would pay';
	const others =
		entered && entered.fund_pence > 0
			? `the network’s fund carries ${moneyWords(entered.fund_pence)}`
			: 'no club pays more than alone';
	return `${row.club_name} ${verb} ${sum}, ${besideAlone(row)}; ${others}.`;
}

/** What the costs of a hire come to, in one sentence: for the own club, where that is one of it, else for all. */
export function costsAnswer(costs: HireCosts, ownClubs: string[] = []): string {
	const { machine_name: name, entered } = costs;
	const own = shareRows(costs).filter((row) => ownClubs.includes(row.club_id));
	if (own.length === 1 && own[0]) return ownWords(costs, own[0]);
	if (entered) {
		const settled = entered.settled_at ? 'shared and settled' : 'shared and not settled yet';
		const total = `${name} came to ${moneyWords(entered.total_pence)}, ${settled}`;
		return entered.fund_pence > 0
			? `${total}; the network’s fund carries ${moneyWords(entered.fund_pence)}.`
			: `${total}; alone its clubs would have paid ${moneyWords(entered.alone_pence)}.`;
	}
	if (costs.clubs === 0) return `No club has ${name} yet, so there is nothing to share.`;
	if (!costs.worth_it) {
		return `${name} costs ${moneyWords(costs.shortfall_pence)} more than its clubs would pay alone: drop the hire, or let the network’s fund carry that.`;
	}
	return `No club pays more than alone: ${name} costs ${moneyWords(costs.total_pence)} together instead of ${moneyWords(costs.alone_pence)}.`;
}

/** The same for a round, of one hire or of several. */
export function roundAnswer(costs: HireCosts[], ownClubs: string[]): string {
	const [first] = costs;
	if (!first) return 'Nothing is hired for this round.';
	if (costs.length === 1) return costsAnswer(first, ownClubs);
	const own = costs.flatMap((each) => shareRows(each).filter((row) => ownClubs.includes(row.club_id)));
	const clubs = new Set(own.map((row) => row.club_id));
	const empty = costs.filter((each) => !each.entered && each.clubs > 0 && !each.worth_it);
	const but =
		empty.length > 0 ? `; ${empty.map((each) => each.machine_name).join(' and ')} would be too empty` : '';
	if (clubs.size === 1 && own[0]) {
		const owes = own.reduce((sum, row) => sum + row.owes_pence, 0);
		const verb = costs.every((each) => each.entered)
			? costs.every((each) => each.entered?.settled_at)
				? 'paid'
				: 'owes'
			: 'would pay';
		return `${own[0].club_name} ${verb} ${moneyWords(owes)} for ${costs.length} hires together${but}.`;
	}
	const total = costs.reduce((sum, each) => sum + (each.entered?.total_pence ?? each.total_pence), 0);
	return `${costs.length} hires come to ${moneyWords(total)} together${but}.`;
}
