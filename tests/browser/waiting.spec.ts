import type { Browser } from '@playwright/test';
import { atDesk, expect, expectAccessible, follow, keepPicture, people, settled, signIn, test, visit, type Page } from './fixtures';

const fennowby = 'dilys.netherwin@fennowby.example';
const sedgewold = 'zadie.jarrowfold@sedgewold.example';

/** Somebody else at another phone. */
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

/** The address of a machine, by way of the board. */
async function machine(page: Page, name: string): Promise<string> {
	await page.goto('/machines?from=2027-05-10');
	await settled(page);
	await follow(page, name, /\/machines\/[0-9a-f-]+$/);
	return new URL(page.url()).pathname;
}

test('what another club gives back is offered to the first in line and taken on a phone', async ({ page, browser, baseURL }) => {
	test.setTimeout(120_000);
	await signIn(page, people.lead);
	await page.goto('/machines?from=2027-05-13');
	await settled(page);
	await page.getByLabel('Which machine?').selectOption('Deep-tine aerator');
	await seen(page, 'board-to-wait');
	await follow(page, /Fennowby RFC.*wait for it/, /\/wait\?/);
	await expect(page.getByText(/you would be first/)).toBeVisible();
	await page.getByLabel(/First pitch/).check();
	await seen(page, 'wait');
	await page.getByRole('button', { name: 'Join the waiting list' }).click();
	await expect(page).toHaveURL(/#line/);
	await expect(page.getByText(/Tansyford RFC.*\(yours\)/)).toBeVisible();
	await seen(page, 'waiting-line');

	const holder = await at(browser, baseURL, fennowby);
	await follow(holder, 'Machines', /\/machines$/);
	await visit(holder, '/bookings');
	await holder.getByRole('row', { name: /Deep-tine aerator/ }).getByRole('link').first().click();
	await settled(holder);
	await holder.getByText('Cancel the booking').first().click();
	await holder.getByRole('button', { name: 'Cancel the booking' }).click();
	await expect(holder.getByText(/gave back/)).toBeVisible();
	await holder.context().close();

	const coordinator = await at(browser, baseURL, people.coordinator);
	await coordinator.goto('/network/mails');
	await expect(coordinator.getByText(/Free for you until/).first()).toBeVisible();
	await coordinator.context().close();

	await page.goto('/');
	await settled(page);
	await seen(page, 'start-with-offer');
	await follow(page, /Deep-tine aerator is held for Tansyford RFC/, /\/bookings\//);
	await expect(page.getByRole('heading', { name: /you are first in line/ })).toBeVisible();
	await seen(page, 'offer');
	await page.getByRole('button', { name: /^Take it for £/ }).click();
	await expect(page.getByText(/Tansyford RFC has Deep-tine aerator/)).toBeVisible();
	await seen(page, 'offer-taken');
});

test('a booking that comes again shows its clashes before anything is saved', async ({ page }) => {
	await signIn(page, people.lead);
	await machine(page, 'Tractor brush');
	await follow(page, 'Book it again and again', /\/repeat$/);
	await seen(page, 'repeat');
	await page.getByLabel('First day').fill('2027-04-26');
	await page.getByLabel('How often?').selectOption('Every Monday');
	await page.getByLabel('Last day').fill('2027-05-17');
	await expect(page.getByText('Every Monday, morning, from Mon 26 Apr, until Mon 17 May.')).toBeVisible();
	await page.getByRole('button', { name: 'Show the times' }).click();
	await expect(page.getByRole('row', { name: /Mon 3 May, morning/ })).toContainText('Taken');
	await expect(page.getByLabel(/leave out Mon 3 May/)).toBeChecked();
	await seen(page, 'repeat-preview');
	await page.getByRole('button', { name: /^(Book|Ask for) 3 times for £/ }).click();
	await expect(page).toHaveURL(/\/bookings\/standing\//);
	await expect(page.getByText(/Tansyford RFC has Tractor brush 3 more times/)).toBeVisible();
	await page.getByText('Cancel the rest from a day on').click();
	await page.getByLabel('First day to give up').fill('2027-05-11');
	await expect(page.getByText(/loses 1\s+booking/)).toBeVisible();
	await seen(page, 'standing');
	await page.getByRole('button', { name: 'Cancel them' }).click();
	await expect(page.getByText(/2 more times/)).toBeVisible();
});

test('two clubs swap, each for itself', async ({ page, browser, baseURL }) => {
	test.setTimeout(120_000);
	await signIn(page, people.lead);
	const aerator = await machine(page, 'Deep-tine aerator');
	await page.goto(`${aerator}/book?from=2027-05-25T00:00:00&until=2027-05-26T00:00:00`);
	await settled(page);
	await page.getByRole('button', { name: /^Book it for £/ }).click();
	await expect(page.getByText('Booked. Nobody else can have the machine then.')).toBeVisible();
	await page.getByText('Swap it with another club').click();
	const choice = page.getByLabel('You would have instead');
	const theirs = choice.locator('option', { hasText: 'Sedgewold RFC' }).first();
	await expect(theirs).toBeAttached();
	await choice.selectOption(await theirs.getAttribute('value'));
	await page.getByLabel('A word to them').fill('Our cup tie is that week.');
	await seen(page, 'swap-propose');
	await page.getByRole('button', { name: 'Propose the swap' }).click();
	await expect(page.getByText('It waits for Sedgewold RFC. Nothing changes until they accept.')).toBeVisible();
	await seen(page, 'swap-proposed');

	const other = await at(browser, baseURL, sedgewold);
	await follow(other, /Tansyford RFC would swap with Sedgewold RFC/, /\/bookings\//);
	await expect(other.getByText('Our cup tie is that week.')).toBeVisible();
	await seen(other, 'swap-answer');
	await other.getByRole('button', { name: 'Accept the swap' }).click();
	await expect(other.getByText(/Sedgewold RFC has Deep-tine aerator: Tue 25 May, all day/)).toBeVisible();
	await other.context().close();
	await page.reload();
	await settled(page);
	await expect(page.getByText(/Tansyford RFC has Deep-tine aerator: Thu 20 May to Fri 21 May/)).toBeVisible();
	await seen(page, 'swapped');
});
