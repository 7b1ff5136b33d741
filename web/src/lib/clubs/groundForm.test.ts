import { expect, test } from 'vitest';
import { groundFrom, pitchFrom, typedGround, typedPitch } from './groundForm';

test('a ground needs a name and a place on the earth', () => {
	expect(groundFrom(typedGround(undefined)).faults.map((f) => f.field)).toEqual([
		'name',
		'latitude_deg',
		'longitude_deg'
	]);
	const typed = {
		...typedGround(undefined),
		name: ' Bank Lane ',
		latitude_deg: '53.9',
		longitude_deg: '-1.8'
	};
	expect(groundFrom(typed)).toMatchObject({
		faults: [],
		facts: { name: 'Bank Lane', latitude_deg: 53.9, longitude_deg: -1.8, tractor_kw: null }
	});
});

test('the area of a pitch may be left to the server', () => {
	const typed = { ...typedPitch(undefined), name: 'Pitch 1', length_m: '100', width_m: '70' };
	expect(pitchFrom(typed).facts).toEqual({
		name: 'Pitch 1',
		sport: 'rugby_union',
		length_m: 100,
		width_m: 70
	});
	expect(pitchFrom({ ...typed, area_m2: '6800' }).facts.area_m2).toBe(6800);
	expect(pitchFrom({ ...typed, width_m: '0' }).faults.map((f) => f.field)).toEqual(['width_m']);
});
