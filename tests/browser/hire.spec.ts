import { request as requests, type APIRequestContext, type Browser } from '@playwright/test';
import {
	atDesk,
	expect,
	expectAccessible,
	follow,
	keepPicture,
	password,
	people,
	settled,
	signIn,
	test,
	type Page
} from './fixtures';

/** A person at another phone. */
async function at(browser: Browser, baseURL: string, email: string): Promise<Page> {
	const context = await browser.newContext({ baseURL, viewport: { width: 390, height: 844 } });
	const page = await context.newPage();
	await signIn(page, email);
	return page;
}

/** A person who speaks to the API, signed in as on the page; `in` is the address of the network. */
type Caller = { api: APIRequestContext; in: string };

async function caller(baseURL: string, email: string): Promise<Caller> {
	const api = await requests.newContext({ baseURL, extraHTTPHeaders: { origin: baseURL } });
	const signedIn = await api.post('/api/v1/session', { data: { email, password } });
	expect(signedIn.ok(), email).toBe(true);
	const me = await (await api.get('/api/v1/me')).json();
	return { api, in: `/api/v1/networks/${me.networks[0].network_id}` };
}

async function read(who: Caller, path: string) {
	const answer = await who.api.get(`${who.in}${path}`);
	expect(answer.ok(), `${path}: ${await answer.text()}`).toBe(true);
	return answer.json();
}

async function write(who: Caller, method: 'POST' | 'PUT', path: string, data: object, headers = {}) {
	const once = { 'idempotency-key': crypto.randomUUID(), ...headers };
	const answer = await who.api.fetch(`${who.in}${path}`, { method, data, headers: once });
	expect(answer.ok(), `${path}: ${await answer.text()}`).toBe(true);
	return answer.json();
}

async function seen(page: Page, picture: string): Promise<void> {
	await expectAccessible(page);
	await keepPicture(page, picture);
	await atDesk(page, async () => {
		await expectAccessible(page);
		await keepPicture(page, picture);
	});
}

type Place = { offer_id: string; club_name: string; state: string };
type Wish = { club_id: string; club_name: string; half_days: string[]; wishes: string[]; [fact: string]: unknown };

/** Who asks for each club. */
const leads: Record<string, string> = {
	'Tansyford RFC': people.lead,
	'Mardlebeck RUFC': 'jolyon.eskerley@mardlebeck.example',
	'Quagthorpe RFC': 'thea.hollinshade@quagthorpe.example',
	'Oxlemere Rugby Club': 'rufus.kettlewin@oxlemere.example',
	'Fennowby RFC': 'dilys.netherwin@fennowby.example',
	'Campionstow RFC': 'lowell.stubbleman@campionstow.example',
	'Medlarwick RFC': 'ivor.wickenfold@medlarwick.example',
	'Teaselworth RFC': 'felix.kestleman@teaselworth.example',
	'Cloverlund RFC': 'sorrel.hazelgarn@cloverlund.example',
	'Plovergarth RUFC': 'ravi.mossender@plovergarth.example',
	'Ottersike RFC': 'alban.sallowin@ottersike.example'
};

const title = 'Deep tines, second week of May';

/** The coordinator hires the aerator for the week after the one that the demo region has on hire. */
async function openHire(page: Page): Promise<string> {
	await page.goto('/rounds/new');
	await settled(page);
	await page.getByLabel('Title').fill(title);
	await page.getByLabel('Requests close on').fill('2027-05-08');
	await page.getByLabel('Machine hired').selectOption('Hired deep-tine aerator');
	await page.getByLabel('Supplier').selectOption('Ostlerby Plant Hire');
	await page.getByLabel('First day').fill('2027-05-10');
	await page.getByLabel('Last day').fill('2027-05-16');
	await page.getByLabel('For a week, £').fill('1,860');
	await page.getByLabel('For a day, £').fill('320');
	await page.getByLabel('For a half-day, £').fill('180');
	await page.getByLabel('Delivery, £').fill('95');
	await page.getByLabel('Collection, £').fill('95');
	await page.getByRole('button', { name: 'Open it for requests' }).click();
	await expect(page.getByRole('heading', { name: title })).toBeVisible();
	await settled(page);
	return new URL(page.url()).pathname;
}

/** One club asks on its phone. */
async function askOnPhone(page: Page, round: string): Promise<void> {
	await page.goto(round);
	await follow(page, 'Ask for a place', /\/request$/);
	await page.getByLabel(/First pitch/).check();
	await page.getByLabel(/Second pitch/).check();
	await page.getByLabel('Depth wanted, mm').fill('250');
	await page.getByLabel('Power of our tractor, kW').fill('34');
	await page.getByRole('button', { name: 'Every half-day' }).click();
	await page.getByLabel('First choice').selectOption({ label: 'Tue 11 May' });
	await page.getByLabel('Second choice').selectOption({ label: 'Wed 12 May' });
	await page.getByRole('button', { name: 'Ask for a place' }).click();
	await expect(page.getByRole('heading', { name: 'Tansyford RFC has asked' })).toBeVisible();
}

const weekLater = (day: string) =>
	new Date(Date.parse(`${day.slice(0, 10)}T00:00:00Z`) + 7 * 86_400_000).toISOString().slice(0, 10) + day.slice(10);

/** The other ten ask for what they asked for in the demo region's first week, a week later. */
async function askAsBefore(baseURL: string, coordinator: Caller, round: string): Promise<void> {
	const all = (await read(coordinator, '/rounds?limit=200')).items as { round_id: string; title: string }[];
	const before = all.find((each) => each.title === 'Deep tines, first week of May');
	const asked = (await read(coordinator, `/rounds/${before?.round_id}/requests?limit=200`)).items as Wish[];
	expect(asked).toHaveLength(11);
	for (const wish of asked.filter((each) => each.club_name !== 'Tansyford RFC')) {
		const who = await caller(baseURL, leads[wish.club_name] ?? '');
		const facts = {
			...Object.fromEntries(
				['club_id', 'ground_id', 'need', 'depth_mm', 'set_up_min', 'tractor', 'tractor_kw', 'helper_club_id', 'note'].map(
					(name) => [name, wish[name]]
				)
			),
			pitch_ids: (wish.pitches as { pitch_id: string }[]).map((pitch) => pitch.pitch_id),
			half_days: wish.half_days.map(weekLater),
			wishes: wish.wishes.map(weekLater)
		};
		await write(who, 'POST', `/rounds/${round}/requests`, facts);
	}
}

/** Nobody waits until May: the deadline is moved to the next second, and the queue closes the requests. */
async function closeRequests(coordinator: Caller, round: string): Promise<void> {
	const { version, hm_per_point, guarantee_after, note } = await read(coordinator, `/rounds/${round}`);
	const requests_close_at = new Date(Date.now() + 1500).toISOString();
	const terms = { title, requests_close_at, hm_per_point, guarantee_after, note };
	await write(coordinator, 'PUT', `/rounds/${round}`, terms, { 'if-match': `"v${version}"` });
	await expect
		.poll(async () => (await read(coordinator, `/rounds/${round}`)).state, { timeout: 30_000 })
		.toBe('requests_closed');
}

async function planned(page: Page): Promise<void> {
	for (const order of [/Wishes first Ready/, /In between Ready/, /Least road first Ready/]) {
		await expect(page.getByRole('heading', { level: 2, name: order })).toBeVisible({ timeout: 90_000 });
	}
}

/** Has the round planned, pins a club where it wishes to be, has it planned again, and chooses. */
async function planAndChoose(page: Page): Promise<void> {
	await follow(page, 'Plan the round', /\/plans$/);
	await page.getByRole('button', { name: 'Plan the round' }).click();
	await planned(page);
	await page.getByLabel('Club', { exact: true }).selectOption('Tansyford RFC');
	await page.getByLabel('When it begins').selectOption({ label: 'Tue 11 May, morning' });
	await page.getByRole('button', { name: 'What would that cost?' }).click();
	await expect(page.getByText(/It costs nothing|It can be there/)).toBeVisible({ timeout: 20_000 });
	await page.getByRole('button', { name: 'Pin it there and plan again' }).click();
	await expect(page.getByRole('heading', { name: 'Pinned and forbidden' })).toBeVisible();
	await planned(page);
	await page
		.getByRole('listitem')
		.filter({ hasText: 'Wishes first' })
		.getByRole('button', { name: 'Choose it' })
		.click();
	await expect(page.getByText('This plan is chosen. Next, put it to the clubs.')).toBeVisible();
	await follow(page, 'Offer it to the clubs', /\/offers$/);
}

async function places(who: Caller, round: string): Promise<Place[]> {
	return (await read(who, `/rounds/${round}/offers`)).offers;
}

/** The link in the mail that offers a club its place: its path, since the mail is read from this service. */
async function linkInMail(coordinator: Caller, to: string): Promise<string> {
	let link = '';
	const look = async () => {
		const mails = (await read(coordinator, '/mails?limit=100')).items as { to: string; subject: string; text: string }[];
		const mail = mails.find((each) => each.to === to && each.subject.includes(`${title}: a place for`));
		link = /(\/rounds\/\S+\/offers)/.exec(mail?.text ?? '')?.[1] ?? '';
		return link;
	};
	await expect.poll(look, { timeout: 30_000 }).not.toBe('');
	return link;
}

test('a coordinator’s March evening: from the hire to the bookings and what each club owes', async ({ page, browser, baseURL }) => {
	test.setTimeout(420_000);
	await signIn(page, people.coordinator);
	const coordinator = await caller(baseURL, people.coordinator);
	const round = await openHire(page);
	const id = round.split('/').at(-1) ?? '';
	const tansyford = await at(browser, baseURL, people.lead);
	await askOnPhone(tansyford, round);
	await askAsBefore(baseURL, coordinator, id);
	await closeRequests(coordinator, id);

	await page.goto(round);
	await settled(page);
	await expect(page.getByText(/^11 clubs ask for a place; requests have closed/)).toBeVisible();
	await planAndChoose(page);

	// Before anybody is told: whether the hire pays, and until when to answer.
	await expect(page.getByText(/^The chosen plan gives \d+ places; no club has been told yet\.$/)).toBeVisible();
	await expect(page.getByText(/No club pays more than alone/)).toBeVisible();
	await seen(page, 'offers-to-make');
	await tansyford.goto(`${round}/offers`);
	await expect(tansyford.getByText('Nothing is offered yet: the coordinator plans the round.')).toBeVisible();
	await page.getByRole('button', { name: /^Offer \d+ places to the clubs$/ }).click();
	await expect(page.getByText(/^No club has answered yet: all \d+ can until/)).toBeVisible();
	await seen(page, 'offers-made');

	// One club answers by the link in its mail, signed in as its grounds lead.
	await tansyford.goto(await linkInMail(coordinator, people.lead));
	await settled(tansyford);
	await expect(tansyford.getByText(/^Tansyford RFC can have Hired deep-tine aerator .* for about £.*: answer by/)).toBeVisible();
	await seen(tansyford, 'offer-of-a-club');
	await tansyford.getByRole('button', { name: 'Accept the place' }).click();
	await expect(tansyford.getByText(/^Tansyford RFC has accepted/)).toBeVisible();
	await seen(tansyford, 'offer-accepted');
	// Whoever sees the club's money reads it, and a volunteer is told where to look.
	const treasurer = await at(browser, baseURL, people.treasurer);
	await treasurer.goto(`${round}/offers`);
	await expect(treasurer.getByText(/^Tansyford RFC has accepted/)).toBeVisible();
	await expect(treasurer.getByText('Decline after all')).toHaveCount(0);
	const volunteer = await at(browser, baseURL, people.volunteer);
	await volunteer.goto(`${round}/offers`);
	await expect(volunteer.getByText(/of \d+ places are answered/)).toBeVisible();
	await seen(volunteer, 'offers-volunteer');

	// Another declines on its page, by way of what needs it.
	const declining = (await places(coordinator, id)).find((each) => each.club_name !== 'Tansyford RFC');
	const other = await at(browser, baseURL, leads[declining?.club_name ?? ''] ?? '');
	await other.goto('/');
	await settled(other);
	await follow(other, /is offered Hired deep-tine aerator/, /\/offers$/);
	await other.getByText('Decline the place').click();
	await other.getByLabel(/Why/).fill('We play on that day after all.');
	await seen(other, 'offer-to-decline');
	await other.getByRole('button', { name: 'Decline it' }).click();
	await expect(other.getByText(/declined Hired deep-tine aerator/)).toBeVisible();

	await page.reload();
	await settled(page);
	await expect(page.getByText('We play on that day after all.')).toBeVisible();
	await page.getByRole('button', { name: /^Remind \d+ clubs?$/ }).click();
	await expect(page.getByText(/^Reminded: each club that has not answered/)).toBeVisible();
	await seen(page, 'offers-answers');

	// The rest, and whoever gets what was declined, answer until nobody is waited for.
	await expect(async () => {
		for (const place of (await places(coordinator, id)).filter((each) => each.state === 'offered')) {
			const lead = await caller(baseURL, leads[place.club_name] ?? '');
			await write(lead, 'POST', `/offers/${place.offer_id}/answer`, { accepted: true, reason: '' });
		}
		expect((await read(coordinator, `/rounds/${id}`)).state).toBe('agreed');
	}).toPass({ timeout: 120_000, intervals: [1000] });

	await page.reload();
	await expect(page.getByText(/^The round is agreed: \d+ places are booked\.$/)).toBeVisible();
	await seen(page, 'offers-booked');
	const booked = (await places(coordinator, id)).filter((each) => each.state === 'booked');
	expect(booked.map((each) => each.club_name)).toContain('Tansyford RFC');
	await tansyford.goto(`${round}/offers`);
	await settled(tansyford);
	await expect(tansyford.getByText(/^Tansyford RFC has Hired deep-tine aerator .*: it is booked\.$/)).toBeVisible();
	await seen(tansyford, 'offer-booked');
	await follow(tansyford, 'The booking', /\/bookings\//);
	await expect(tansyford.getByText(/^Tansyford RFC has Hired deep-tine aerator/)).toBeVisible();

	await page.goto('/machines?from=2027-05-10');
	await settled(page);
	await page.getByLabel('Which machine?').selectOption('Hired deep-tine aerator');
	await expect(page.getByText('Tansyford RFC').first()).toBeVisible();
	await seen(page, 'offers-board');

	// What the hire costs, shared among those who have it. The week, delivery and collection: £1,860 + £95 + £95.
	await page.goto(`${round}/shares`);
	await settled(page);
	await expect(page.getByText('£2,050.00').first()).toBeVisible();
});
