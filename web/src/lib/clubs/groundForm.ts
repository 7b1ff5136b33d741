/** Grounds and pitches as typed, and as sent. Pure. */
import type { FieldFault } from '$lib/api/error';
import type { Drainage, Ground, LorryAccess, Pitch, Soil, Sport } from '$lib/api/types';
import { numberFrom, typedNumber } from '$lib/look/numbers';
import type { GroundFacts, PitchFacts } from './calls';

export interface GroundTyped {
	name: string;
	latitude_deg: string;
	longitude_deg: string;
	soil: Soil;
	drainage: Drainage;
	lorry_access: LorryAccess;
	hard_standing: boolean;
	tractor_kw: string;
}

export function typedGround(ground: Ground | undefined): GroundTyped {
	return {
		name: ground?.name ?? '',
		latitude_deg: typedNumber(ground?.latitude_deg),
		longitude_deg: typedNumber(ground?.longitude_deg),
		soil: ground?.soil ?? 'clay_loam',
		drainage: ground?.drainage ?? 'none',
		lorry_access: ground?.lorry_access ?? 'rigid',
		hard_standing: ground?.hard_standing ?? false,
		tractor_kw: typedNumber(ground?.tractor_kw)
	};
}

export function groundFrom(typed: GroundTyped): { facts: GroundFacts; faults: FieldFault[] } {
	const faults: FieldFault[] = [];
	if (typed.name.trim() === '') faults.push({ field: 'name', detail: 'Give the ground a name.' });
	const place = (field: 'latitude_deg' | 'longitude_deg', label: string, most: number) => {
		const value = numberFrom(typed[field]);
		if (value === null || value === undefined || Math.abs(value) > most) {
			faults.push({ field, detail: `${label}: write degrees from -${most} to ${most}, such as 53.9.` });
			return 0;
		}
		return value;
	};
	const latitude_deg = place('latitude_deg', 'Latitude', 90);
	const longitude_deg = place('longitude_deg', 'Longitude', 180);
	const tractor_kw = numberFrom(typed.tractor_kw);
	if (tractor_kw === undefined)
		faults.push({ field: 'tractor_kw', detail: 'Tractor: write kW, or leave it empty.' });
	const { soil, drainage, lorry_access, hard_standing } = typed;
	return {
		facts: {
			name: typed.name.trim(),
			latitude_deg,
			longitude_deg,
			soil,
			drainage,
			lorry_access,
			hard_standing,
			tractor_kw: tractor_kw ?? null
		},
		faults
	};
}

export interface PitchTyped {
	name: string;
	sport: Sport;
	length_m: string;
	width_m: string;
	area_m2: string;
}

export function typedPitch(pitch: Pitch | undefined): PitchTyped {
	return {
		name: pitch?.name ?? '',
		sport: pitch?.sport ?? 'rugby_union',
		length_m: typedNumber(pitch?.length_m),
		width_m: typedNumber(pitch?.width_m),
		area_m2: typedNumber(pitch?.area_m2)
	};
}

export function pitchFrom(typed: PitchTyped): { facts: PitchFacts; faults: FieldFault[] } {
	const faults: FieldFault[] = [];
	if (typed.name.trim() === '') faults.push({ field: 'name', detail: 'Give the pitch a name.' });
	const size = (field: 'length_m' | 'width_m', label: string) => {
		const value = numberFrom(typed[field]);
		if (value === null || value === undefined || value <= 0) {
			faults.push({ field, detail: `${label}: write metres, such as 100.` });
			return 0;
		}
		return value;
	};
	const length_m = size('length_m', 'Length');
	const width_m = size('width_m', 'Width');
	const area = numberFrom(typed.area_m2);
	if (area === undefined || (area !== null && !Number.isInteger(area)))
		faults.push({ field: 'area_m2', detail: 'Area: write whole m², or leave it empty.' });
	return {
		facts: {
			name: typed.name.trim(),
			sport: typed.sport,
			length_m,
			width_m,
			...(area === null || area === undefined ? {} : { area_m2: area })
		},
		faults
	};
}
