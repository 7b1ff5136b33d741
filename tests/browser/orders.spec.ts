import { atDesk, expect, expectAccessible, follow, keepPicture, people, settled, signIn, test } from './fixtures';

/** B, the grounds lead's and the treasurer's evening: the joint sand order. */
test('a grounds lead joins the sand order, brings the next price, and the treasurer sees what is owed', async ({
	page,
	browser
}) => {
	await signIn(page, people.lead);
	await follow(page, 'Orders', /\/orders$/);
	await expectAccessible(page);
	await keepPicture(page, 'orders');
	await follow(page, /sand/i, /\/orders\/./);
	await expect(page.getByRole('heading', { name: 'Join this order' })).toBeVisible();
	await expect(page.getByText(/4 t/).first()).toBeVisible();

	await page.getByLabel('How many tonnes?').fill('12.5');
	await page.getByRole('button', { name: 'Join with this much' }).click();
	await expect(page.getByText(/whole/i).first()).toBeVisible();
	await expect(page.getByLabel('How many tonnes?')).toHaveValue('12.5');

	await page.getByLabel('How many tonnes?').fill('29');
	await page.getByRole('button', { name: 'Join with this much' }).click();
	// 96 t + 29 t = 125 t: the break at 100 t is reached, 29 t × £31.60 = £916.40, with 20 % VAT £1,099.68.
	await expect(page.getByText('You owe £1,099.68 so far', { exact: false })).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'order');
	await atDesk(page, () => keepPicture(page, 'order'));
	const order = page.url();

	const treasurer = await browser.newContext({ baseURL: new URL(order).origin, viewport: { width: 390, height: 844 } });
	const desk = await treasurer.newPage();
	await signIn(desk, people.treasurer);
	await desk.goto(order);
	await settled(desk);
	await expect(desk.getByText('You owe £1,099.68 so far', { exact: false })).toBeVisible();
	await expect(desk.getByRole('button', { name: /Join|Change our part/ })).toHaveCount(0);
	await expect(desk.getByRole('row', { name: /Together/ })).toContainText('125 t');
	await treasurer.close();

	await page.getByText('Take our part back').click();
	await page.getByRole('button', { name: 'Take it back' }).click();
	await expect(page.getByRole('heading', { name: 'Join this order' })).toBeVisible();
	await expect(page.getByText(/96 t/).first()).toBeVisible();
});

test('a treasurer sees what the club owes for an order that has closed', async ({ page }) => {
	await signIn(page, people.treasurer);
	await follow(page, /Tansyford RFC owes/, /\/shares$/);
	// 50 bags reach the break at 40: 11 bags × £26.15 = £287.65. VAT of the invoice is 20 % of £1,307.50 = £261.50, of which
	// 11 of 50 bags carry £57.53.
	await expect(page.getByText('Tansyford RFC owes £345.18 for an order not yet settled.')).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'owed');
	await follow(page, /Autumn feed/, /\/orders\/./);
	await expect(page.getByText('You owe £345.18 for Autumn feed')).toBeVisible();
	await expect(page.getByRole('row', { name: /The invoice/ })).toContainText('£1,569.00');
	await expect(page.getByRole('heading', { name: 'Join this order' })).toHaveCount(0);
});
