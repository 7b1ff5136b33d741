import { test as base } from '@playwright/test';
import { expect, expectAccessible, follow, keepPicture, settled, type Page } from './fixtures';
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
	const supplier = formWith(page, 'Add the supplier');
	await supplier.getByLabel('Name').fill('Greyfen Pits');
	await supplier.getByRole('button', { name: 'Add the supplier' }).click();
	await expect(page.getByText('Greyfen Pits').first()).toBeVisible();
	const product = formWith(page, 'Add the product');
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
	await page.getByLabel('Working width, m').fill('1.6');
	await page.getByLabel('Working speed, km/h').fill('1.5');
	await page.getByLabel('Field efficiency, %').fill('75');
	await page.getByLabel('Mass on the road, kg').fill('900');
	await page.getByLabel('Charge for a half-day, £').fill('50');
	await page.getByRole('button', { name: 'Add the machine' }).click();
	await expect(page).toHaveURL(/\/machines\/[0-9a-f]+-/);
	await settled(page);
	const soon = inDays(7);
	await page.getByLabel('First day').fill(soon);
	await page.getByLabel('Last day').fill(inDays(21));
	await press(page, 'Offer it then');
	await expect(page.getByRole('button', { name: /^Take off/ })).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'machine');

	await page.goto(`${founded.url}/orders/new`);
	await settled(page);
	await page.getByLabel('Title').fill('Spring sand');
	await page.getByLabel('What is ordered').selectOption({ label: 'Washed sand' });
	await page.getByLabel('Supplier').selectOption({ label: 'Greyfen Pits' });
	await page.getByLabel('Price, £').or(page.getByLabel(/^Price|costs/)).first().fill('40');
	await page.getByLabel('Closes on').fill(inDays(10));
	await page.getByLabel('Delivered from').fill(inDays(20));
	await page.getByLabel('Delivered until').fill(inDays(30));
	await press(page, 'Open the order');
	await expect(page).toHaveURL(/\/orders\/[0-9a-f]+-/);
	await settled(page);

	// The grounds lead of Saltmoor is invited by mail, joins, books and orders.
	await page.goto(`${founded.url}/network/people`);
	await settled(page);
	await page.getByLabel('E-mail').fill('lead@saltmoor.example');
	await page.getByLabel('Name').fill('Orrin Teasel');
	await page.getByLabel('Role').selectOption({ label: 'Grounds lead' });
	await page.getByLabel('Club').selectOption({ label: 'Saltmoor RFC' });
	await press(page, /^Invite|^Send/);
	await expect(page.getByText('lead@saltmoor.example').first()).toBeVisible();
	await expectAccessible(page);
	const link = await mailedLink(page, founded, 'lead@saltmoor.example');

	const club = await browser.newContext({ viewport: { width: 390, height: 844 } });
	const phone = await club.newPage();
	await phone.goto(link);
	await settled(phone);
	await phone.getByLabel('Password').fill('clay up to the knees');
	await press(phone, /^Join/);
	await expect(phone).not.toHaveURL(/invitation/);
	await phone.goto(`${founded.url}/machines?from=${soon}`);
	await settled(phone);
	await follow(phone, /Free: book Deep-tine aerator/, /\/book/);
	await phone.getByLabel(/Main pitch/).check();
	await phone.getByRole('button', { name: /^Book it for £/ }).click();
	await expect(phone.getByText('Booked. Nobody else can have the machine then.')).toBeVisible();
	await phone.goto(`${founded.url}/orders`);
	await settled(phone);
	await follow(phone, 'Spring sand', /\/orders\/./);
	await phone.getByLabel('How many tonnes?').fill('29');
	await press(phone, 'Join with this much');
	// 29 t × £40.00 = £1,160.00, with 20 % VAT £1,392.00.
	await expect(phone.getByText('You owe £1,392.00 so far', { exact: false })).toBeVisible();
	await club.close();
});

function formWith(page: Page, button: string) {
	return page.locator('form').filter({ has: page.getByRole('button', { name: button }) });
}

function inDays(days: number): string {
	return new Date(Date.now() + days * 86_400_000).toISOString().slice(0, 10);
}

/** The page of mail sent shows the text where mail lands as files. */
async function mailedLink(page: Page, founded: Founded, to: string): Promise<string> {
	for (let tries = 0; tries < 40; tries++) {
		await page.goto(`${founded.url}/network/mails`);
		await settled(page);
		const text = await page.locator('main').innerText();
		const details = page.locator('details').filter({ hasText: to });
		const all = `${text} ${(await details.allTextContents()).join(' ')} ${await page.locator('main').textContent()}`;
		const link = /http\S+\/invitation\/[\w.-]+/.exec(all.slice(all.indexOf(to)))?.[0];
		if (link) return link;
		await page.waitForTimeout(250);
	}
	throw new Error(`no invitation was mailed to ${to}`);
}
