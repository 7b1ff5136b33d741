import {
	atDesk,
	expect,
	expectAccessible,
	follow,
	keepPicture,
	people,
	settled,
	signIn,
	test,
	visit,
	type Page
} from './fixtures';

/** The money of a hire: the coordinator's side and the treasurer's, in the order in which it happens. */
test.describe.configure({ mode: 'serial' });
test.use({ demoOf: 'costs' });

async function pictured(page: Page, name: string): Promise<void> {
	await expectAccessible(page);
	await keepPicture(page, name);
	await atDesk(page, () => keepPicture(page, name));
}

test('the coordinator sees the shares of a hire that is over, tries an invoice and enters it', async ({ page }) => {
	await signIn(page, people.coordinator);
	await follow(page, /“Deep tines, May \d+” is over: enter what Hired deep-tine aerator came to/, /\/shares$/);
	await expect(page.getByText(/No club pays more than alone: Hired deep-tine aerator costs/)).toBeVisible();
	await expect(page.getByText(/min by the hour meter/)).toHaveCount(2);
	await page.getByText('How each share comes about').click();
	await expect(page.getByText(/Tansyford RFC pays £[\d.,]+ × £[\d.,]+ ÷ £[\d.,]+ =/)).toBeVisible();
	await pictured(page, 'costs-expected');

	await page.getByLabel('What the supplier asks, £').fill('2,100.00');
	await expect(page.getByText('£50.00 more than expected.')).toBeVisible();
	await page.getByRole('button', { name: 'See the shares' }).click();
	await expect(page.getByText(/What each club would owe of £/)).toBeVisible();
	await expect(page.getByRole('button', { name: 'Enter the shares' })).toBeVisible();
	await pictured(page, 'costs-tried');

	await page.getByLabel('What the supplier asks, £').fill('9000');
	await page.getByRole('button', { name: 'See the shares' }).click();
	await expect(page.getByText(/With this invoice the hire costs £[\d.,]+ more than its clubs/)).toBeVisible();
	await expect(page.getByRole('button', { name: 'Enter the shares' })).toHaveCount(0);
	await pictured(page, 'costs-too-dear');

	await page.getByLabel('What the supplier asks, £').fill('2100');
	await page.getByRole('button', { name: 'See the shares' }).click();
	await page.getByRole('button', { name: 'Enter the shares' }).click();
	await expect(page.getByText(/Hired deep-tine aerator came to £[\d.,]+, shared and not settled yet/)).toBeVisible();
	await pictured(page, 'costs-entered');
});

test('the coordinator puts a wrong statement right', async ({ page }) => {
	await signIn(page, people.coordinator);
	await follow(page, /is shared and not settled yet/, /\/shares$/);
	await page.getByText('Something is wrong: put it right').click();
	await page.getByLabel('What the supplier asks, £').fill('2050');
	await page.getByRole('textbox', { name: 'Note' }).fill('The second delivery was struck off.');
	await page.getByRole('button', { name: 'See the shares' }).click();
	await page.getByRole('button', { name: 'Enter the shares' }).click();
	await expect(page.getByText('It takes the place of a statement that was entered before.')).toBeVisible();
	await expect(page.getByText('Note: The second delivery was struck off.')).toBeVisible();
});

test('the treasurer sees what is owed, together with the orders, and why', async ({ page }) => {
	await signIn(page, people.treasurer);
	await expect(page.getByText(/Tansyford RFC owes £[\d.,]+ for the hire of Hired deep-tine aerator\./)).toBeVisible();
	await visit(page, '/shares', 'shares');
	await expect(page.getByText(/Tansyford RFC owes £[\d.,]+: £[\d.,]+ for an order and £[\d.,]+ for a hire\./)).toBeVisible();
	await atDesk(page, () => keepPicture(page, 'shares'));
	await follow(page, /Hired deep-tine aerator, Deep tines, May/, /\/rounds\/.+\/shares$/);
	await expect(page.getByText(/Tansyford RFC owes £[\d.,]+ for Hired deep-tine aerator, £[\d.,]+ less than alone/)).toBeVisible();
	await expect(page.getByText('What another club pays is for that club to see.')).toBeVisible();
	await pictured(page, 'costs-own');
});

test('the coordinator settles, and nobody owes for the hire any more', async ({ page }) => {
	await signIn(page, people.coordinator);
	await follow(page, /is shared and not settled yet/, /\/shares$/);
	await page.getByText('It is paid: settle it').click();
	await expect(page.getByText(/can no longer be put right/)).toBeVisible();
	await pictured(page, 'costs-to-settle');
	await page.getByRole('button', { name: 'Settle it' }).click();
	await expect(page.getByText('It is settled and stands for good.')).toBeVisible();
	await expect(page.getByText('Something is wrong: put it right')).toHaveCount(0);

	await signIn(page, people.treasurer);
	await expect(page.getByText(/for the hire of/)).toHaveCount(0);
	await visit(page, '/shares');
	await expect(page.getByText(/Tansyford RFC owes £[\d.,]+ for an order not yet settled\./)).toBeVisible();
});

test('use and worth of a hired machine: the numbers for buying one', async ({ page }) => {
	await signIn(page, people.coordinator);
	await page.goto('/machines');
	await settled(page);
	await follow(page, 'Hired deep-tine aerator', /\/machines\/./);
	await follow(page, 'Use and worth', /\/worth$/);
	for (let earlier = 0; earlier < 3; earlier += 1) {
		if ((await page.getByText(/Hired deep-tine aerator worked .+ a hectare/).count()) > 0) break;
		const before = page.getByRole('link', { name: /^Season/ }).first();
		const season = /season=(\d{4})/.exec((await before.getAttribute('href')) ?? '')?.[1] ?? '';
		await before.click();
		await expect(page).toHaveURL(new RegExp(`season=${season}`));
		await expect(page.getByText(new RegExp(`Hired deep-tine aerator.* in ${season}/`))).toBeVisible();
	}
	await expect(page.getByText(/Hired deep-tine aerator worked .+ on .+ ha in .+, at £[\d.,]+ a hectare; it stood on/)).toBeVisible();
	await page.getByLabel('What would one cost, £?').fill('18000');
	await page.getByRole('button', { name: 'Work it out' }).click();
	await expect(page.getByText('Years to pay back', { exact: true })).toBeVisible();
	await page.getByText('How this is reckoned').click();
	await page.getByText('How this is worked out').click();
	await pictured(page, 'worth');
});

test('before anyone confirms, a plan tells what each club would pay', async ({ page }) => {
	await signIn(page, people.coordinator);
	await page.goto('/rounds');
	await settled(page);
	await follow(page, /Deep tines, first week of May/, /\/rounds\/./);
	await follow(page, 'What it costs each club', /\/shares$/);
	await expect(page.getByText('What each club would pay is reckoned as soon as the round is planned.')).toBeVisible();
	await page.goto(page.url().replace('/shares', '/plans'));
	await settled(page);
	await page.getByRole('button', { name: 'Plan the round' }).click();
	await expect(page.getByRole('heading', { level: 2, name: /In between Ready/ })).toBeVisible({ timeout: 50_000 });
	await page.goto(page.url().replace('/plans', '/shares'));
	await settled(page);
	await expect(page.getByText(/Reckoned by the plan “in between”, which is not chosen yet/)).toBeVisible();
	await expect(page.getByText('What each club would pay', { exact: true })).toBeVisible();
	await pictured(page, 'costs-planned');
});
