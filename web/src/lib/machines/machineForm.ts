/** The facts of a machine as typed, and as sent. Pure. */
import type { FieldFault } from '$lib/api/error';
import type { Linkage, Machine, MachineFacts, MachineKind, WhoMayBook } from '$lib/api/types';
import { numberFrom, typedNumber } from '$lib/look/numbers';
import { penceFrom } from '$lib/money/money';

interface NumberBox {
	name: NumberName;
	label: string;
	hint?: string;
	optional?: boolean;
	whole?: boolean;
}
type NumberName =
	| 'width_m'
	| 'speed_km_h'
	| 'field_efficiency'
	| 'max_depth_mm'
	| 'tine_spacing_across_mm'
	| 'tine_spacing_forward_mm'
	| 'tractor_kw'
	| 'transport_kg'
	| 'shortest_half_days'
	| 'longest_half_days'
	| 'gap_half_days';
type MoneyName = 'charge_per_half_day_pence' | 'charge_per_day_pence' | 'charge_per_use_pence';

export const workBoxes: NumberBox[] = [
	{ name: 'width_m', label: 'Working width, m' },
	{ name: 'speed_km_h', label: 'Working speed, km/h' },
	{
		name: 'field_efficiency',
		label: 'Field efficiency, %',
		hint: 'The part of the time really spent working, turns and stops taken off.'
	},
	{ name: 'max_depth_mm', label: 'Deepest working depth, mm', optional: true, whole: true },
	{ name: 'tine_spacing_across_mm', label: 'Tine spacing across, mm', optional: true, whole: true },
	{ name: 'tine_spacing_forward_mm', label: 'Tine spacing forward, mm', optional: true, whole: true },
	{ name: 'tractor_kw', label: 'Tractor needed, kW', optional: true },
	{ name: 'transport_kg', label: 'Mass on the road, kg', whole: true }
];
export const bookingBoxes: NumberBox[] = [
	{ name: 'shortest_half_days', label: 'Shortest booking, half-days', whole: true },
	{ name: 'longest_half_days', label: 'Longest booking, half-days', whole: true },
	{
		name: 'gap_half_days',
		label: 'Kept free for the handover, half-days',
		hint: 'Time after each booking to wash the machine down, check it and fetch it.',
		whole: true
	}
];
export const moneyBoxes: { name: MoneyName; label: string }[] = [
	{ name: 'charge_per_half_day_pence', label: 'Charge for a half-day, £' },
	{ name: 'charge_per_day_pence', label: 'Charge for a day, £' },
	{ name: 'charge_per_use_pence', label: 'Charge for each use, £' }
];

export interface MachineTyped {
	name: string;
	kind: MachineKind;
	owner_club_id: string;
	linkage: Linkage;
	who_may_book: WhoMayBook;
	named_club_ids: string[];
	coordinator_agrees: boolean;
	note: string;
	retired: boolean;
	numbers: Record<NumberName, string>;
	money: Record<MoneyName, string>;
}

const blank: Record<NumberName, string> = {
	width_m: '',
	speed_km_h: '',
	field_efficiency: '75',
	max_depth_mm: '',
	tine_spacing_across_mm: '',
	tine_spacing_forward_mm: '',
	tractor_kw: '',
	transport_kg: '',
	shortest_half_days: '1',
	longest_half_days: '6',
	gap_half_days: '0'
};

export function typedMachine(machine: Machine | undefined, ownerClubId: string): MachineTyped {
	const pounds = (pence: number | null | undefined) =>
		pence === null || pence === undefined ? '' : (pence / 100).toFixed(2);
	return {
		name: machine?.name ?? '',
		kind: machine?.kind ?? 'deep_tine_aerator',
		owner_club_id: machine ? (machine.owner_club_id ?? '') : ownerClubId,
		linkage: machine?.linkage ?? 'category_1',
		who_may_book: machine?.who_may_book ?? 'every_club',
		named_club_ids: machine?.named_club_ids ?? [],
		coordinator_agrees: machine?.coordinator_agrees ?? false,
		note: machine?.note ?? '',
		retired: machine?.retired ?? false,
		numbers: machine
			? (Object.fromEntries(
					Object.keys(blank).map((name) => {
						const value = machine[name as NumberName];
						// Typed in per cent, kept as a part of one.
						return [
							name,
							name === 'field_efficiency' ? String(Math.round((value ?? 0) * 1000) / 10) : typedNumber(value)
						];
					})
				) as Record<NumberName, string>)
			: { ...blank },
		money: {
			charge_per_half_day_pence: pounds(machine?.charge_per_half_day_pence),
			charge_per_day_pence: pounds(machine?.charge_per_day_pence),
			charge_per_use_pence: pounds(machine?.charge_per_use_pence)
		}
	};
}

/** What is sent, or what has to be put right first. */
export function factsFrom(typed: MachineTyped): { facts: MachineFacts; faults: FieldFault[] } {
	const faults: FieldFault[] = [];
	const numbers: Partial<Record<NumberName, number | null>> = {};
	for (const box of [...workBoxes, ...bookingBoxes]) {
		const value = numberFrom(typed.numbers[box.name]);
		if (value === undefined) faults.push({ field: box.name, detail: `${box.label}: write a number.` });
		else if (value === null && !box.optional)
			faults.push({ field: box.name, detail: `${box.label}: it is needed.` });
		else if (box.whole && value !== null && !Number.isInteger(value))
			faults.push({ field: box.name, detail: `${box.label}: write a whole number.` });
		else if (box.name === 'field_efficiency' && value !== null && (value <= 0 || value > 100))
			faults.push({ field: box.name, detail: `${box.label}: write per cent, more than 0 and at most 100.` });
		numbers[box.name] = value ?? null;
	}
	if (typeof numbers.field_efficiency === 'number') numbers.field_efficiency /= 100;
	const money: Partial<Record<MoneyName, number | null>> = {};
	for (const box of moneyBoxes) {
		const text = typed.money[box.name].trim();
		const pence = text === '' ? null : penceFrom(text);
		if (pence === undefined)
			faults.push({ field: box.name, detail: `${box.label}: write pounds and pence, such as 40.00.` });
		money[box.name] = pence ?? null;
	}
	if (typed.name.trim() === '') faults.unshift({ field: 'name', detail: 'Give the machine a name.' });
	const facts = {
		name: typed.name.trim(),
		kind: typed.kind,
		owner_club_id: typed.owner_club_id || null,
		linkage: typed.linkage,
		who_may_book: typed.who_may_book,
		named_club_ids: typed.who_may_book === 'named_clubs' ? [...typed.named_club_ids] : [],
		coordinator_agrees: typed.coordinator_agrees,
		note: typed.note.trim(),
		retired: typed.retired,
		...numbers,
		...money
	} as MachineFacts;
	return { facts, faults };
}
