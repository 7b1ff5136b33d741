import { atDesk, expect, expectAccessible, follow, keepPicture, people, settled, signIn, test, visit } from './fixtures';

/** A, the grounds lead's evening: the shared deep-tine aerator in the first week of May. */
test('a grounds lead books the aerator, moves the booking and gives it back', async ({ page }) => {
	await signIn(page, people.lead);
	await follow(page, 'Machines', /\/machines$/);
	await page.getByLabel('Show from').fill('2027-05-03');
	await expect(page.getByRole('heading', { name: 'Mon 3 May' })).toBeVisible();
	await page.getByLabel('Which machine?').selectOption('Deep-tine aerator');
	await expectAccessible(page);
	await keepPicture(page, 'board-phone');

	await follow(page, /Free: book Deep-tine aerator, Tue 4 May/, /\/book/);
	await page.getByLabel(/First pitch/).check();
	await expect(page.getByText(/hours of work|h of work/)).toBeVisible();
	await expect(page.getByText(/holes per m²/)).toBeVisible();
	await page.getByText('How this was reckoned').click();
	await expect(page.getByText('Source: ASABE EP496')).toBeVisible();
	// 122 m × 72 m at 1.5 km/h × 1.6 m × 0.75 ÷ 10 = 0.18 ha/h is 4.88 h: two half-days.
	await expect(page.getByText(/0\.18 ha\/h/)).toBeVisible();
	await expect(page.getByText('4.88 h').first()).toBeVisible();
	await page.getByRole('radio', { name: /Tue 4 May, afternoon|Wed 5 May/ }).first().check();
	const book = page.getByRole('button', { name: /^Book it for £/ });
	await expect(book).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'booking');
	await atDesk(page, () => keepPicture(page, 'booking'));
	await book.click();

	await expect(page.getByText('Booked. Nobody else can have the machine then.')).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'booked');
	const booking = page.url().replace(/\?.*/, '');

	await page.getByText('Move the booking to another time').click();
	await page.getByLabel('First day').fill('2027-05-05');
	await page.getByLabel('First half-day').selectOption('morning');
	await page.getByLabel('Last day').fill('2027-05-05');
	await page.getByLabel('Last half-day').selectOption('morning');
	await page.getByRole('button', { name: 'Move it there' }).click();
	await expect(page.getByText(/Wed 5 May, morning/).first()).toBeVisible();

	await page.getByText('Cancel the booking').first().click();
	await expect(page.getByText(/The time is free for other clubs at once/)).toBeVisible();
	await page.getByRole('button', { name: 'Cancel the booking' }).click();
	await expect(page.getByText(/gave back/)).toBeVisible();
	await visit(page, booking, 'booking-cancelled');
});

test('who presses second is shown what is free instead', async ({ page }) => {
	await signIn(page, people.lead);
	await page.goto('/machines?from=2027-05-03');
	await settled(page);
	await page.getByLabel('Which machine?').selectOption('Deep-tine aerator');
	await follow(page, /Free: book Deep-tine aerator/, /\/book/);
	// The first week of May begins with another club's booking: ask for exactly that.
	await page.getByLabel('First day').fill('2027-05-03');
	await page.getByLabel('First half-day').selectOption('morning');
	await page.getByLabel('Last day').fill('2027-05-03');
	await page.getByLabel('Last half-day').selectOption('afternoon');
	await page.getByLabel(/Note/).fill('For the scrum end');
	await page.getByRole('button', { name: /^Book it/ }).click();
	await expect(page.getByRole('heading', { name: /taken/i }).or(page.getByText(/taken/i)).first()).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'taken');
	await expect(page.getByLabel(/Note/)).toHaveValue('For the scrum end');
});

test('the board works with a keyboard alone', async ({ page }) => {
	await page.setViewportSize({ width: 1280, height: 900 });
	await signIn(page, people.lead);
	await visit(page, '/machines?from=2027-05-03', 'board');
	const grid = page.getByRole('grid');
	await grid.locator('[tabindex="0"]').first().focus();
	const before = await page.evaluate(() => document.activeElement?.textContent);
	for (let press = 0; press < 30; press++) {
		await page.keyboard.press('ArrowRight');
		const label = await page.evaluate(() => document.activeElement?.getAttribute('aria-label') ?? '');
		if (label.startsWith('Free: book')) break;
	}
	expect(before).toBeTruthy();
	await page.keyboard.press('Enter');
	await expect(page).toHaveURL(/\/book\?from=/);
	await settled(page);
});
