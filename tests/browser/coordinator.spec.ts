import { expect, expectAccessible, follow, keepPicture, people, settled, signIn, test } from './fixtures';

/** The coordinator's evening: answer who waits, call an order off, hand the calendar out. */
test('a coordinator agrees to one booking, refuses another and says why', async ({ page }) => {
	await signIn(page, people.coordinator);
	await follow(page, /asks for Drop topdresser: Tue 4 May/, /\/bookings\//);
	await expect(page.getByText(/asks for Drop topdresser/)).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'answer');
	await page.getByRole('button', { name: 'Agree' }).click();
	await expect(page.getByText(/has Drop topdresser/)).toBeVisible();

	await page.goto('/');
	await follow(page, /asks for Drop topdresser: Thu 6 May/, /\/bookings\//);
	await page.getByLabel(/A word to the club/).fill('The spinner is away for repair until Friday.');
	await page.getByRole('button', { name: 'Refuse' }).click();
	await expect(page.getByText(/was refused Drop topdresser/)).toBeVisible();
	await expect(page.getByText('The spinner is away for repair until Friday.')).toBeVisible();
	await expectAccessible(page);
	await page.goto('/network/mails');
	await settled(page);
	await expect(page.getByText(/Refused: Drop topdresser/).first()).toBeVisible();
});

test('a coordinator calls an order off and the clubs are told the reason', async ({ page }) => {
	await signIn(page, people.coordinator);
	await page.goto('/orders');
	await settled(page);
	await follow(page, 'Spring feed', /\/orders\/./);
	await page.getByText('Call the order off').click();
	await page.getByRole('button', { name: 'Call it off' }).click();
	await expect(page.getByText('The clubs are told the reason: write one.').first()).toBeVisible();
	await page.getByLabel('Why?').fill('The supplier has none left this spring.');
	await page.getByRole('button', { name: 'Call it off' }).click();
	await expect(page.getByText('Spring feed was called off: nobody owes anything for it.')).toBeVisible();
	await expect(page.getByText(/The supplier has none left this spring/).first()).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'called-off');
});

test('a calendar address is made, read by anyone who has it, and replaced', async ({ page, request }) => {
	await signIn(page, people.lead);
	await page.goto('/club');
	await settled(page);
	await page.getByRole('button', { name: 'Make a calendar address' }).click();
	const address = page.getByText(/\/calendars\/\S+\.ics/);
	await expect(address).toBeVisible();
	const first = (await address.innerText()).trim();
	const calendar = await request.get(first);
	expect(calendar.headers()['content-type']).toContain('text/calendar');
	expect(await calendar.text()).toContain('BEGIN:VCALENDAR');
	await page.getByText('Make a new address').first().click();
	await page.getByRole('button', { name: 'Make a new address' }).click();
	await expect(address).not.toHaveText(first);
	expect((await request.get(first)).status()).toBe(404);
});
