/** What handovers, faults and services are called. */
import type { Direction, Handover, ServiceStanding, Severity, Training } from '$lib/api/types';
import type { Kind } from '$lib/look/Shape.svelte';
import { instantWords } from '$lib/time/instants';

export const severityWords: Record<Severity, { word: string; kind: Kind }> = {
	usable: { word: 'Can be used', kind: 'wait' },
	out_of_service: { word: 'Out of service', kind: 'stop' }
};

export const standingWords: Record<ServiceStanding, { word: string; kind: Kind }> = {
	fine: { word: 'In time', kind: 'done' },
	due: { word: 'Due', kind: 'wait' },
	overdue: { word: 'Overdue', kind: 'stop' }
};

export const directionWords: Record<Direction, { done: string; act: string }> = {
	out: { done: 'Taken over', act: 'Take over' },
	in: { done: 'Given back', act: 'Give back' }
};

/** Whether somebody of a club is noted as trained on a machine and may operate it on a day. */
export function isTrained(trained: Training[], clubId: string, day: string): boolean {
	return trained.some(
		(one) => one.club_id === clubId && one.trained_on <= day && (one.until_on === null || day <= one.until_on)
	);
}

/** "120.5 h". */
export function meterWords(hours: number | null): string {
	return hours === null ? 'not read' : `${hours.toFixed(1)} h`;
}

/** "every 50 hours or 12 months". */
export function everyWords(hours: number | null, months: number | null): string {
	const parts = [
		hours === null ? '' : `${hours} ${hours === 1 ? 'hour' : 'hours'}`,
		months === null ? '' : `${months} ${months === 1 ? 'month' : 'months'}`
	].filter(Boolean);
	return `every ${parts.join(' or ')}`;
}

/** "Given back, Tue 4 May, 16:10: 421.0 h, Jo Marsh, 1 fault". */
export function handoverWords(handover: Handover, timeZone: string): string {
	const { direction, signed_at, meter_h, signed_name, faults } = handover;
	const found = faults.length === 0 ? [] : [`${faults.length} ${faults.length === 1 ? 'fault' : 'faults'}`];
	const when = instantWords(signed_at, timeZone, new Date());
	return `${directionWords[direction].done}, ${when}: ${[meterWords(meter_h), signed_name, ...found].join(', ')}`;
}
