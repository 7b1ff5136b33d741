import type { Browser } from '@playwright/test';
import { atDesk, expect, expectAccessible, follow, keepPicture, people, settled, signIn, test, type Page } from './fixtures';

type Answer = { [name: string]: never } & { state: string };
interface Place {
	offer_id: string;
	club_name: string;
	state: string;
	span: { from: string; until: string };
	booking_id: string;
}

/** Asks the API as whoever is signed in on a page. */
async function api<T>(page: Page, method: string, path: string, body?: unknown): Promise<T> {
	const answer = await page.evaluate(
		async ([method, path, body]) => {
			const headers = { 'Content-Type': 'application/json', 'Idempotency-Key': crypto.randomUUID() };
			const init = method === 'GET' ? {} : { method, headers, body: body ?? 'null' };
			const reply = await fetch(`/api/v1${path}`, init as RequestInit);
			return { ok: reply.ok, text: await reply.text() };
		},
		[method, path, body === undefined ? undefined : JSON.stringify(body)] as const
	);
	expect(answer.ok, `${method} ${path}: ${answer.text}`).toBe(true);
	return JSON.parse(answer.text) as T;
}

/** The May round of the region, taken to where all its clubs have accepted and are booked. */
async function agreedRound(page: Page): Promise<{ path: string; places: Place[] }> {
	const me = await api<{ networks: { network_id: string }[] }>(page, 'GET', '/me');
	const network = `/networks/${me.networks[0]?.network_id}`;
	const rounds = await api<{ items: { round_id: string; title: string }[] }>(page, 'GET', `${network}/rounds`);
	const path = `${network}/rounds/${rounds.items.find((round) => round.title.startsWith('Deep tines'))?.round_id}`;
	const state = async () => (await api<Answer>(page, 'GET', path)).state;
	if ((await state()) === 'requests_closed') {
		type Plans = { plans: { plan_id: string; order: string; state: string }[] };
		await api(page, 'POST', `${path}/plans`);
		const wishes = async () =>
			(await api<Plans>(page, 'GET', `${path}/plans`)).plans.find((plan) => plan.order === 'wishes_first');
		await expect.poll(async () => (await wishes())?.state, { timeout: 90_000, intervals: [1000] }).toBe('ready');
		const plan = (await wishes())?.plan_id;
		await api(page, 'POST', `${path}/plans/${plan}/choice`);
		const answer_by = new Date(Date.now() + 2 * 86_400_000).toISOString();
		await api(page, 'POST', `${path}/offers`, { plan_id: plan, answer_by, offers_on: false });
	}
	const offers = async () => (await api<{ offers: Place[] }>(page, 'GET', `${path}/offers`)).offers;
	for (const place of (await offers()).filter((each) => each.state === 'offered')) {
		await api(page, 'POST', `${network}/offers/${place.offer_id}/answer`, { accepted: true, reason: '' });
	}
	await expect.poll(state, { timeout: 30_000, intervals: [500] }).toBe('agreed');
	return { path, places: await offers() };
}

async function at(browser: Browser, baseURL: string, email: string): Promise<Page> {
	const context = await browser.newContext({ baseURL, viewport: { width: 390, height: 844 } });
	const page = await context.newPage();
	await signIn(page, email);
	return page;
}

async function seen(page: Page, picture: string): Promise<void> {
	await expectAccessible(page);
	await keepPicture(page, picture);
	await atDesk(page, async () => {
		await expectAccessible(page);
		await keepPicture(page, picture);
	});
}

test('the wet week: a ground is closed on a phone, the round planned again, accepted, and told', async ({
	page,
	browser,
	baseURL
}) => {
	test.setTimeout(240_000);
	await signIn(page, people.coordinator);
	const { places } = await agreedRound(page);
	const ours = places.find((place) => place.club_name === 'Tansyford RFC' && place.state === 'booked');
	const day = ours?.span.from.slice(0, 10) ?? '';

	// The grounds lead, on the touchline: from the booking to the ground, the days, closed.
	const lead = await at(browser, baseURL, people.lead);
	await lead.goto(`/bookings/${ours?.booking_id}`);
	await settled(lead);
	await follow(lead, 'Too wet? Close Gandergrass Lane', /\/grounds\/.+\/close$/);
	await expect(lead.getByText('Gandergrass Lane is open: machines may go onto it.')).toBeVisible();
	await lead.getByText('3 days', { exact: true }).click();
	await expect(lead.getByText(/no machine goes onto Gandergrass Lane/)).toBeVisible();
	await lead.getByText('Other days, or half a day').click();
	await lead.getByLabel('Last day').fill(day);
	await lead.getByLabel('First day').fill(day);
	await lead.getByLabel('First half-day').selectOption('morning');
	await lead.getByLabel('Last half-day').selectOption('afternoon');
	await lead.getByLabel('More about it').fill('standing water on the lower half');
	await expect(lead.getByText('One booking lies on these days:')).toBeVisible();
	await seen(lead, 'close-ground');
	await lead.getByRole('button', { name: 'Close Gandergrass Lane' }).click();
	await expect(lead.getByText('Closed. Your club and the coordinator have been told.')).toBeVisible();
	await expect(lead.getByText(/is open today and closed later/)).toBeVisible();
	await seen(lead, 'closed-ground');
	await lead.goto('/club');
	await settled(lead);
	await expect(lead.getByText(/Gandergrass Lane is open today and closed later/)).toBeVisible();
	await seen(lead, 'club-closed');

	// The coordinator's evening begins on the start page.
	await page.goto('/');
	await settled(page);
	await keepPicture(page, 'start-wet');
	await follow(page, /Gandergrass Lane of Tansyford RFC is closed: 1 booking of/, /\/rounds\/.+\/replan$/);
	await expect(page.getByText(/1 place lies on days on which the ground is closed: plan the round again/)).toBeVisible();
	await seen(page, 'replan-before');
	await page.getByRole('button', { name: 'Plan the round again' }).click();
	const accept = page.getByRole('button', { name: 'Accept and tell the clubs' });
	await expect(accept).toBeVisible({ timeout: 90_000 });
	await expect(page.getByText(/nobody loses a place|loses its place/).first()).toBeVisible();
	await expect(page.getByRole('listitem').filter({ hasText: 'Tansyford RFC' }).first()).toBeVisible();
	await page.getByText('What it costs, level by level').click();
	await expect(page.getByText('weight of confirmed places kept')).toBeVisible();
	await seen(page, 'replan');
	await accept.click();
	await expect(page.getByText(/^The new days are booked/)).toBeVisible();
	await expect(page.getByText('The re-plan is in force; every place lies on open ground.')).toBeVisible();
	await seen(page, 'replan-accepted');

	// Who was told, and where the machine is now.
	await page.goto('/network/mails');
	await expect(page.getByText(/Tansyford RFC moves/).first()).toBeVisible();
	await expect(page.getByText(/Closed: Gandergrass Lane of Tansyford RFC/).first()).toBeVisible();
	const now = (await api<{ span: { from: string } }>(page, 'GET', `${await network(page)}/bookings/${ours?.booking_id}`)).span;
	expect(now.from.slice(0, 10)).not.toBe(day);
	await lead.goto(`/machines?from=${now.from.slice(0, 10)}`);
	await settled(lead);
	await lead.getByLabel('Which machine?').selectOption('Hired deep-tine aerator');
	await expect(lead.getByText(/Tansyford RFC/).first()).toBeVisible();
	await keepPicture(lead, 'board-wet');
	await lead.context().close();
});

async function network(page: Page): Promise<string> {
	const me = await api<{ networks: { network_id: string }[] }>(page, 'GET', '/me');
	return `/networks/${me.networks[0]?.network_id}`;
}
