import { test as base } from '@playwright/test';
import { expect, expectAccessible, keepPicture, settled, type Page } from './fixtures';
import { found, type Founded } from './founding';

const test = base.extend<object, { founded: Founded }>({
	founded: [
		async ({}, use) => {
			const founded = await found();
			await use(founded);
			founded.stop();
		},
		{ scope: 'worker', timeout: 60_000 }
	]
});

const places = `club,sharing,ground,latitude_deg,longitude_deg,soil,drainage,lorry_access,hard_standing,tractor_kw,pitch,sport,length_m,width_m
Saltmoor RFC,named,Dyke Field,53.10,-0.60,clay,pipe,rigid,true,30,Main pitch,rugby_union,120,70
Saltmoor RFC,named,Dyke Field,53.10,-0.60,clay,pipe,rigid,true,30,Back pitch,rugby_union,118,70
Wrackby RFC,counted,Long Meadow,53.20,-0.70,loam,none,none,false,,Main pitch,rugby_union,119,69
`;

async function press(page: Page, name: string | RegExp) {
	await page.getByRole('button', { name }).click();
}

/** A coordinator's first evening: from an empty network to a club that books and orders. */
test('a coordinator sets everything up from an empty network', async ({ page, browser, founded }) => {
	test.setTimeout(120_000);
	await page.goto(founded.link);
	await settled(page);
	await expectAccessible(page);
	await keepPicture(page, 'invitation');
	await page.getByLabel('Your name').fill('Hester Quill');
	await page.getByLabel('Password').fill('salt and clay and rain');
	await press(page, /^Join/);
	await expect(page).not.toHaveURL(/invitation/);
	await settled(page);
	await expectAccessible(page);
	await keepPicture(page, 'first-start');

	// Places: a file with a bad line first, then the good one.
	await page.goto(`${founded.url}/network/import`);
	await settled(page);
	await page.getByLabel('The lines').fill(places.replace('53.20', '153.20').replace('loam', 'mud'));
	await press(page, /^Check/);
	await expect(page.getByRole('row', { name: /4/ }).first()).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'import-faults');
	await page.getByLabel('The lines').fill(places);
	await press(page, /^Check/);
	await press(page, /^Add/);
	await expect(page.getByText(/3 pitches/).first()).toBeVisible();

	await page.goto(`${founded.url}/network/suppliers`);
	await settled(page);
	await page.getByText('Add a supplier').first().click();
	const supplier = page.locator('form').filter({ has: page.getByRole('button', { name: 'Add the supplier' }) });
	await supplier.getByLabel('Name').fill('Greyfen Pits');
	await supplier.getByRole('button', { name: 'Add the supplier' }).click();
	await expect(page.getByText('Greyfen Pits').first()).toBeVisible();
	await page.getByText('Add a product').first().click();
	const product = page.locator('form').filter({ has: page.getByRole('button', { name: 'Add the product' }) });
	await product.getByLabel('Name').fill('Washed sand');
	await product.getByLabel('Kind').selectOption({ label: 'Sand' });
	await product.getByLabel('VAT, %').fill('20');
	await product.getByRole('button', { name: 'Add the product' }).click();
	await expect(page.getByText('Washed sand').first()).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'suppliers');

	await page.goto(`${founded.url}/machines/new`);
	await settled(page);
	await expectAccessible(page);
	await page.getByLabel('Name').fill('Deep-tine aerator');
	await page.getByLabel('Kind').selectOption({ label: 'Deep-tine aerator' });
	await page.getByLabel(/^Working width/).fill('1.6');
	await page.getByLabel(/^Working speed/).fill('1.5');
	await page.getByLabel(/^Field efficiency/).fill('75');
	await page.getByLabel(/^Mass on the road|^Transport mass|mass/i).first().fill('900');
	await page.getByLabel(/day.*£|For a day|whole day/i).first().fill('90');
	await page.getByRole('button', { name: /Add the machine|Save/ }).click();
	await expect(page).toHaveURL(/\/machines\/[0-9a-f-]+/);
	await settled(page);
	await keepPicture(page, 'machine');
});
