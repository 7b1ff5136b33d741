import { atDesk, expect, expectAccessible, follow, keepPicture, people, settled, signIn, test } from './fixtures';

/** What stands around a round: whose turn it is, tractors, roads, the hire itself, and its mark on the board. */
test('a grounds lead sees whose turn it is, and why', async ({ page }) => {
	await signIn(page, people.lead);
	await page.goto('/rounds');
	await settled(page);
	await follow(page, 'Whose turn it is', /\/turns$/);
	await expect(page.getByText(/^Tansyford RFC/).first()).toBeVisible();
	await expect(page.getByText('A request weighs ten times its need, 1 to 5, plus where its club stands')).toBeVisible();
	await expect(page.getByText('comes before all weight the next time')).toBeVisible();
	await expect(page.getByRole('heading', { name: 'Season by season' })).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'turns');
	await atDesk(page, () => keepPicture(page, 'turns'));
});

test('a club says what tractors it has, and nobody asks with one that is not lent', async ({ page }) => {
	await signIn(page, people.lead);
	await page.goto('/rounds');
	await settled(page);
	await follow(page, /Overseeding, third week of May/, /\/rounds\/./);
	await follow(page, 'Who has and lends a tractor', /\/tractors$/);
	await expect(page.getByText(/clubs would lend a tractor with driver/)).toBeVisible();
	await page.getByLabel('Tractors with drivers that can work at once').fill('21');
	await page.getByRole('button', { name: 'Save for Tansyford RFC' }).click();
	await expect(page.getByRole('link', { name: /whole number from 0 to 20/ })).toBeVisible();
	await expectAccessible(page);
	await page.getByLabel('Tractors with drivers that can work at once').fill('0');
	await page.getByRole('button', { name: 'Save for Tansyford RFC' }).click();
	await expect(page.getByText('Saved for Tansyford RFC.')).toBeVisible();
	await expect(page.getByRole('row', { name: /Tansyford RFC/ })).toContainText('Nothing to lend');
	await expectAccessible(page);
	await keepPicture(page, 'tractors');
	await atDesk(page, () => keepPicture(page, 'tractors'));

	// The request form knows it, and says where it is changed.
	await page.goto(page.url().replace('/tractors', '/request'));
	await settled(page);
	await expect(page.getByText('Your club said that it has no tractor in this round.')).toBeVisible();
	await follow(page, 'Change that', /\/tractors$/);
	await page.getByLabel('Tractors with drivers that can work at once').fill('1');
	await page.getByLabel('A neighbour may ask with one of them, driver included').check();
	await page.getByRole('button', { name: 'Save for Tansyford RFC' }).click();
	await expect(page.getByRole('row', { name: /Tansyford RFC/ })).toContainText('Lends');
});

test('a coordinator puts roads right, and the yard’s as well', async ({ page }) => {
	await signIn(page, people.coordinator);
	await page.goto('/rounds');
	await settled(page);
	await follow(page, /Overseeding, third week of May/, /\/rounds\/./);
	await follow(page, 'Roads between the grounds', /\/roads$/);
	await expect(page.getByText('Every road is reckoned from the map; none has been put right.')).toBeVisible();
	await expectAccessible(page);
	const yard = page.getByRole('table', { name: 'Roads from the yard' }).getByRole('row').nth(1);
	await yard.getByRole('textbox').fill('far');
	await yard.getByRole('button', { name: /^Set/ }).click();
	await expect(yard.getByText('Write kilometres from 0 to 2,000, such as 12.4.')).toBeVisible();
	await expectAccessible(page);
	await yard.getByRole('textbox').fill('23.4');
	await yard.getByRole('button', { name: /^Set/ }).click();
	await expect(page.getByText('One road is put right; the others are reckoned.')).toBeVisible();
	const between = page.getByRole('table', { name: 'Roads between grounds' }).getByRole('row').nth(1);
	await between.getByRole('textbox').fill('12.4');
	await between.getByRole('button', { name: /^Set/ }).click();
	await expect(page.getByText('2 roads are put right; the others are reckoned.')).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'roads');
	await atDesk(page, () => keepPicture(page, 'roads'));
	await page.getByRole('button', { name: /^As reckoned/ }).first().click();
	await expect(page.getByText('One road is put right; the others are reckoned.')).toBeVisible();
	await page.getByRole('button', { name: /^As reckoned/ }).first().click();
	await expect(page.getByText('Every road is reckoned from the map; none has been put right.')).toBeVisible();
});

test('a coordinator changes a hire, and is told before who feels it', async ({ page }) => {
	await signIn(page, people.coordinator);
	await page.goto('/rounds');
	await settled(page);
	await follow(page, /Overseeding, third week of May/, /\/rounds\/./);
	await follow(page, /^Change the hire/, /\/edit\?hire=/);
	await expect(page.getByText('What this change does')).toHaveCount(0);
	await page.getByLabel('For a day, £').fill('abc');
	await page.getByRole('button', { name: 'Save the hire' }).click();
	await expect(page.getByRole('link', { name: /For a day, £: write pounds and pence/ })).toBeVisible();
	await page.getByLabel('For a day, £').fill('181');
	await expect(page.getByText('share of the cost is reckoned anew')).toBeVisible();
	await page.getByLabel('Last day').fill('2027-05-18');
	await expect(page.getByText('some of the half-days allowed fall away')).toBeVisible();
	await expect(page.getByText('The clubs that asked are told by mail.')).toBeVisible();
	await expect(page.getByText('Plans made before are out of date.')).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'change-hire');
	await atDesk(page, () => keepPicture(page, 'change-hire'));
	// Back to the day as it was: only the charge changes.
	await page.getByLabel('Last day').fill('2027-05-22');
	await expect(page.getByText(/fall away/)).toHaveCount(0);
	await page.getByRole('button', { name: 'Save the hire' }).click();
	await expect(page.getByRole('heading', { name: 'Overseeding, third week of May' })).toBeVisible();
	await expect(page.getByText(/£181\.00 a day/)).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'round');
	await atDesk(page, () => keepPicture(page, 'round'));
});

test('the board says which days a round decides, and leads there', async ({ page }) => {
	await signIn(page, people.lead);
	await page.goto('/machines?from=2027-05-14');
	await settled(page);
	await expect(page.getByRole('link', { name: /Overseeding, third week of May/ }).first()).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'board-round');
	await atDesk(page, async () => {
		await expectAccessible(page);
		await keepPicture(page, 'board-round');
	});
	await follow(page, /Overseeding, third week of May/, /\/rounds\/./);
});
