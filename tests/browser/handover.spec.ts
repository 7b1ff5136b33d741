import { deflateSync } from 'node:zlib';
import { atDesk, expect, expectAccessible, follow, keepPicture, people, settled, signIn, test, visit, type Page } from './fixtures';

/** A drum spiker that is free in the first week of May, for one day. */
async function bookSpiker(page: Page, day: string): Promise<string> {
	await page.goto('/machines?from=2027-05-03');
	await settled(page);
	await page.getByRole('link', { name: 'Drum spiker' }).first().click();
	await settled(page);
	await follow(page, 'Book it', /\/book/);
	await page.getByLabel('First day').fill(day);
	await page.getByLabel('First half-day').selectOption('morning');
	await page.getByLabel('Last day').fill(day);
	await page.getByLabel('Last half-day').selectOption('afternoon');
	await page.getByRole('button', { name: /^Book it/ }).click();
	await expect(page).toHaveURL(/\/bookings\/[0-9a-f-]+\?new=1/);
	await settled(page);
	return new URL(page.url()).pathname;
}

function chunk(type: string, data: Buffer): Buffer {
	const table = Array.from({ length: 256 }, (_, n) => {
		let c = n;
		for (let k = 0; k < 8; k += 1) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
		return c >>> 0;
	});
	const body = Buffer.concat([Buffer.from(type), data]);
	let crc = 0xffffffff;
	for (const byte of body) crc = ((table[(crc ^ byte) & 0xff] ?? 0) ^ (crc >>> 8)) >>> 0;
	const frame = Buffer.alloc(8);
	frame.writeUInt32BE(data.length, 0);
	frame.writeUInt32BE((crc ^ 0xffffffff) >>> 0, 4);
	return Buffer.concat([frame.subarray(0, 4), body, frame.subarray(4)]);
}

/** A plain picture of 64 × 64 pixels (PNG, ISO/IEC 15948). */
function picture(): Buffer {
	const header = Buffer.from([0, 0, 0, 64, 0, 0, 0, 64, 8, 0, 0, 0, 0]);
	const rows = deflateSync(Buffer.alloc(64 * 65, 0x80).map((byte, at) => (at % 65 === 0 ? 0 : byte)));
	const signature = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
	return Buffer.concat([signature, chunk('IHDR', header), chunk('IDAT', rows), chunk('IEND', Buffer.alloc(0))]);
}

async function answer(page: Page, question: RegExp, words: string): Promise<void> {
	await page.getByRole('group', { name: question }).getByText(words, { exact: true }).click();
}

test('a machine is taken over on a phone, given back with a fault, and the coordinator decides', async ({ browser, page }) => {
	test.setTimeout(180_000);
	await page.setViewportSize({ width: 360, height: 740 });
	await signIn(page, people.lead);
	const booking = await bookSpiker(page, '2027-05-03');
	const behind = await bookSpiker(page, '2027-05-05');
	await page.goto(booking);
	await settled(page);
	await expect(page.getByText('Trained at your club: Silas Cattermoss.')).toBeVisible();

	await follow(page, 'Take over: check and sign', /\/handover$/);
	await expect(page.getByText(/before hands go near/)).toBeVisible();
	await expect(page.getByText('Last: 417.0 h.')).toBeVisible();
	await page.getByRole('button', { name: 'Sign: taken over' }).click();
	await expect(page.getByRole('alert')).toContainText('Guards: yes or no?');
	await expectAccessible(page);
	await page.getByLabel('Hour meter').fill('417.5');
	await answer(page, /Tines/, 'Yes');
	await answer(page, /Guards/, 'Yes');
	// What was filled in survives the browser being closed.
	await page.reload();
	await settled(page);
	await expect(page.getByLabel('Hour meter')).toHaveValue('417.5');
	await answer(page, /washed down/, 'No');
	await keepPicture(page, 'handover-out');
	await page.getByRole('button', { name: 'Sign: taken over' }).click();
	await expect(page.getByRole('heading', { name: /^Taken over/ })).toBeVisible();
	await expect(page.getByText('Nothing more to do here until it goes back.')).toBeVisible();
	await expect(page.getByLabel('Hour meter')).toHaveCount(0);
	await keepPicture(page, 'handover-taken');

	// Home, and back by what the start page asks for.
	await page.goto('/');
	await follow(page, /has Drum spiker: look it over and sign/, /\/handover$/);
	await page.getByLabel('Hour meter').fill('410');
	await page.getByLabel(/Why it stands lower/).fill('A new meter.');
	await page.getByLabel('Hour meter').fill('421');
	await answer(page, /Tines/, 'Yes');
	await answer(page, /Guards/, 'No');
	await answer(page, /Washed down/, 'Yes');
	// Whoever says no is asked at once what is wrong.
	await page.getByLabel('What is wrong').fill('The shaft cover is cracked through.');
	await answer(page, /still be used/, 'No, out of service');
	await page
		.getByLabel(/Take a photo/)
		.setInputFiles({ name: 'cover.png', mimeType: 'image/png', buffer: picture() });
	await expect(page.getByRole('img', { name: 'Photo 1 of fault 1' })).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'handover-in');
	// No signal: it is signed, kept, and goes by itself when there is signal again.
	await page.context().setOffline(true);
	await page.getByRole('button', { name: 'Sign: given back' }).click();
	await expect(page.getByText('Signed, but not sent yet.')).toBeVisible();
	await keepPicture(page, 'handover-no-signal');
	await page.context().setOffline(false);
	await expect(page.getByRole('heading', { name: /^Given back/ })).toBeVisible();
	await expect(page.getByText('Signed, but not sent yet.')).toHaveCount(0);
	await expect(page.getByRole('img', { name: /The shaft cover is cracked/ }).first()).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'handover-signed');
	await atDesk(page, async () => {
		await expectAccessible(page);
		await keepPicture(page, 'handover-signed');
	});

	await page.goto('/machines?from=2027-05-03');
	await settled(page);
	await follow(page, 'Drum spiker', /\/machines\/[0-9a-f-]+$/);
	await visit(page, `${new URL(page.url()).pathname}/book`, 'book-out-of-service');
	await expect(page.getByText('Drum spiker is out of service')).toBeVisible();
	await visit(page, behind, 'booking-undecided');
	await expect(page.getByText('Needs a decision.')).toBeVisible();

	const desk = await browser.newContext({ baseURL: new URL(page.url()).origin });
	const coordinator = await desk.newPage();
	await coordinator.setViewportSize({ width: 390, height: 844 });
	await signIn(coordinator, people.coordinator);
	await follow(coordinator, /Drum spiker is out of service: decide/, /\/bookings\//);
	await visit(coordinator, behind, 'decide');
	await atDesk(coordinator, () => keepPicture(coordinator, 'decide'));
	await answer(coordinator, /What becomes of it/, 'It stays');
	await coordinator.getByLabel(/A word to the club/).fill('A new cover is on its way.');
	await coordinator.getByRole('button', { name: 'Decide' }).click();
	await expect(coordinator.getByRole('heading', { name: 'Your decision' })).toHaveCount(0);

	await coordinator.getByRole('link', { name: 'Drum spiker' }).first().click();
	await settled(coordinator);
	await follow(coordinator, /Faults, manuals, services/, /\/care$/);
	await expect(coordinator.getByText('Drum spiker is out of service.')).toBeVisible();
	await expectAccessible(coordinator);
	await keepPicture(coordinator, 'care');
	await atDesk(coordinator, () => keepPicture(coordinator, 'care'));
	await coordinator.getByText(/^Clear it: The shaft cover/).click();
	await coordinator.getByLabel('What was done').first().fill('New cover fitted.');
	await coordinator.getByRole('button', { name: 'Clear the fault' }).first().click();
	await expect(coordinator.getByText('Drum spiker is out of service.')).toHaveCount(0);
	await desk.close();
});

test('a machine’s manual, services and trained people are kept', async ({ page }) => {
	await signIn(page, people.coordinator);
	await page.goto('/machines?from=2027-05-03');
	await settled(page);
	await page.getByRole('link', { name: 'Drum spiker' }).first().click();
	await settled(page);
	await follow(page, /Faults, manuals, services/, /\/care$/);
	const download = page.waitForEvent('download');
	await page.getByRole('link', { name: 'Operator’s notes' }).or(page.getByRole('link', { name: "Operator's notes" })).click();
	expect((await download).suggestedFilename()).toBe('drum-spiker.pdf');
	await page.getByText('Add a service').click();
	await page.getByLabel('What is done').fill('Check the spike bolts');
	await page.getByLabel('Every so many months').fill('3');
	await page.getByRole('button', { name: 'Add the service' }).click();
	await expect(page.getByText('Check the spike bolts').first()).toBeVisible();
	await page.getByRole('button', { name: /^Done today ?: Grease the drum bearings/ }).click();
	await expect(page.getByText('Grease the drum bearings: entered as done today.')).toBeVisible();
	await page.getByText(/^Done on another day: Check the spike bolts/).click();
	await page.getByLabel('Done on', { exact: true }).filter({ visible: true }).fill('2026-09-01');
	await page.getByRole('button', { name: 'Enter it' }).filter({ visible: true }).click();
	await expect(page.getByText('Entered.')).toBeVisible();
	await page.getByText('Note a training').click();
	await page.getByLabel('Club').selectOption('Tansyford RFC');
	await page.getByLabel('Who').fill('Hettie Dunnamere');
	await page.getByRole('button', { name: 'Note it' }).click();
	await expect(page.getByText('Hettie Dunnamere, Tansyford RFC')).toBeVisible();
	await page.getByRole('button', { name: 'Warn where nobody is trained' }).click();
	await expect(page.getByText('A club that books it and has nobody trained on it is warned.')).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'care-kept');
	await atDesk(page, async () => {
		await expectAccessible(page);
		await keepPicture(page, 'care-kept');
	});
});
