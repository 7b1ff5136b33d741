import { describe, expect, it } from 'vitest';
import { groundWords, lyingWords, spanFor } from './words';

const today = '2027-05-04';

describe('closed grounds in words', () => {
	it('counts whole days from today on', () => {
		expect(spanFor('today', today)).toEqual({ from: '2027-05-04T00:00:00', until: '2027-05-05T00:00:00' });
		expect(spanFor('week', today).until).toBe('2027-05-11T00:00:00');
	});
	it('says what is closed now before what is closed later', () => {
		const later = { span: { from: '2027-05-06T00:00:00', until: '2027-05-07T00:00:00' } };
		const now = { span: spanFor('three_days', today) };
		expect(groundWords('Top', [later, now], today)).toBe('Top is closed: Tue 4 May to Thu 6 May.');
		expect(groundWords('Top', [later], today)).toBe(
			'Top is open today and closed later: Thu 6 May, all day.'
		);
		expect(groundWords('Top', [], today)).toBe('Top is open: machines may go onto it.');
	});
	it('counts what lies on closed days', () => {
		expect([0, 1, 2].map(lyingWords)).toEqual([
			'No booking lies on these days.',
			'One booking lies on these days:',
			'2 bookings lie on these days:'
		]);
	});
});
