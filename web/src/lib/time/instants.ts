/** Instants (UTC) in the network's own time zone, in words. Pure: `now` is handed in. */
import { dayNumber, dayWords } from './halfdays';

/** The date and the time, "2027-05-04" and "17:00", at an instant in a time zone. */
export function wallClock(instant: Date, timeZone: string): { date: string; time: string } {
	const parts = new Intl.DateTimeFormat('en-GB', {
		timeZone,
		year: 'numeric',
		month: '2-digit',
		day: '2-digit',
		hour: '2-digit',
		minute: '2-digit',
		hourCycle: 'h23'
	}).formatToParts(instant);
	const part = (type: string) => parts.find((p) => p.type === type)?.value ?? '';
	return {
		date: `${part('year')}-${part('month')}-${part('day')}`,
		time: `${part('hour')}:${part('minute')}`
	};
}

export function todayIn(timeZone: string, now: Date): string {
	return wallClock(now, timeZone).date;
}

/** "Tue 4 May, 17:00". */
export function instantWords(at: string, timeZone: string, now: Date): string {
	const { date, time } = wallClock(new Date(at), timeZone);
	return `${dayWords(date, todayIn(timeZone, now))}, ${time}`;
}

/** "today", "tomorrow", "in 5 days", "yesterday", "5 days ago". */
export function awayWords(date: string, today: string): string {
	const days = dayNumber(date) - dayNumber(today);
	if (days === 0) return 'today';
	if (days === 1) return 'tomorrow';
	if (days === -1) return 'yesterday';
	return days > 0 ? `in ${days} days` : `${-days} days ago`;
}

/** "closes Tue 4 May at 17:00, in 5 days", or "closed …". */
export function closingWords(at: string, timeZone: string, now: Date): string {
	const { date, time } = wallClock(new Date(at), timeZone);
	const today = todayIn(timeZone, now);
	const verb = new Date(at) > now ? 'closes' : 'closed';
	return `${verb} ${dayWords(date, today)} at ${time}, ${awayWords(date, today)}`;
}

/** The instant at which a wall clock in the time zone shows this date and time ("2027-05-04", "17:00"). */
export function instantAt(date: string, time: string, timeZone: string): string {
	const wanted = Date.parse(`${date}T${time}:00Z`);
	let guess = wanted;
	// Two rounds are enough: the second corrects a guess on the other side of a clock change.
	for (let round = 0; round < 2; round += 1) {
		const shown = wallClock(new Date(guess), timeZone);
		guess += wanted - Date.parse(`${shown.date}T${shown.time}:00Z`);
	}
	return new Date(guess).toISOString().replace('.000Z', 'Z');
}
