import { describe, expect, it } from 'vitest';
import { nthOfMonth, oftenWords, ruleOf, ruleWords } from './rule';

describe('a rule', () => {
	// 4 March 2027 is a Thursday, the 1st of its month.
	const thursday = '2027-03-04';

	it('is written as RFC 5545 has it', () => {
		expect(ruleOf({ every: 2, unit: 'week', end: { until: '2027-04-30' } }, thursday)).toBe(
			'FREQ=WEEKLY;INTERVAL=2;BYDAY=TH;UNTIL=20270430'
		);
		expect(ruleOf({ every: 1, unit: 'month', end: { times: 6 } }, thursday)).toBe(
			'FREQ=MONTHLY;BYDAY=1TH;COUNT=6'
		);
		expect(ruleOf({ every: 1, unit: 'month', end: { times: 6 } }, '2027-03-30')).toBe(
			'FREQ=MONTHLY;BYDAY=-1TU;COUNT=6'
		);
	});

	it('reads as people say it', () => {
		expect(oftenWords(1, 'week', thursday)).toBe('Every Thursday');
		expect(oftenWords(2, 'week', thursday)).toBe('Every 2nd Thursday');
		expect(oftenWords(3, 'week', thursday)).toBe('Every 3 weeks on Thursday');
		expect(oftenWords(1, 'month', thursday)).toBe('On the 1st Thursday of every month');
		expect(ruleWords('FREQ=WEEKLY;INTERVAL=2;BYDAY=TH;UNTIL=20270430', thursday, '2027-03-01')).toBe(
			'Every 2nd Thursday until Fri 30 Apr'
		);
		expect(ruleWords('FREQ=DAILY;COUNT=3', thursday, '2027-03-01')).toBe('By a rule, 3 times');
	});

	it('takes a fifth weekday for the last', () => {
		expect([nthOfMonth('2027-03-04'), nthOfMonth('2027-03-25'), nthOfMonth('2027-03-31')]).toEqual([
			1, 4, -1
		]);
	});
});
