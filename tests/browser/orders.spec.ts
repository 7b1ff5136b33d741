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
