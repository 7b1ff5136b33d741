import { expect, test } from 'vitest';
import { factsFrom, typedMachine } from './machineForm';

test('an empty form says what is needed and nothing else', () => {
	const { faults } = factsFrom(typedMachine(undefined, ''));
	expect(faults.map((f) => f.field)).toEqual(['name', 'width_m', 'speed_km_h', 'transport_kg']);
});

test('typed numbers and money become what is sent', () => {
	const typed = typedMachine(undefined, 'club');
	typed.name = ' Spiker ';
	typed.numbers = { ...typed.numbers, width_m: '1,6', speed_km_h: '2', transport_kg: '750' };
	typed.money.charge_per_half_day_pence = '40';
	typed.named_club_ids = ['x'];
	const { facts, faults } = factsFrom(typed);
	expect(faults).toEqual([]);
	expect(facts).toMatchObject({
		name: 'Spiker',
		owner_club_id: 'club',
		width_m: 1.6,
		field_efficiency: 0.75,
		max_depth_mm: null,
		charge_per_half_day_pence: 4000,
		charge_per_day_pence: null,
		named_club_ids: []
	});
});

test('half a millimetre is not a depth', () => {
	const typed = typedMachine(undefined, '');
	typed.numbers.max_depth_mm = '250.5';
	expect(factsFrom(typed).faults).toContainEqual({
		field: 'max_depth_mm',
		detail: 'Deepest working depth, mm: write a whole number.'
	});
});

test('field efficiency is typed in per cent', () => {
	const typed = typedMachine(undefined, '');
	typed.numbers.field_efficiency = '0';
	expect(factsFrom(typed).faults.map((f) => f.field)).toContain('field_efficiency');
});
