import { atDesk, expect, expectAccessible, follow, keepPicture, people, settled, signIn, test } from './fixtures';

/** The grounds lead's part of a hire: asking for a place, changing the request, taking it back. */
test('a grounds lead asks for a place in a round, changes the request and withdraws it', async ({ page }) => {
	await signIn(page, people.lead);
	await follow(page, 'Machines', /\/machines$/);
	await follow(page, 'Rounds of hired machines', /\/rounds$/);
	await expect(page.getByText('Your club has not asked.')).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'rounds');
	await follow(page, 'Ask for a place', /\/rounds\/.+\/request$/);

	// Nothing filled in: each gap is named, and leads to where it is put right.
	await page.getByRole('button', { name: 'Ask for a place' }).click();
	await expect(page.getByRole('link', { name: 'Tick the pitches to be worked.' })).toBeVisible();
	await expect(page.getByRole('link', { name: /Tick at least one half-day/ })).toBeVisible();
	await expectAccessible(page);

	await page.getByLabel(/First pitch/).check();
	await page.getByLabel(/Second pitch/).check();
	// (122 × 72 + 118 × 70) m² at 4 km/h × 1.8 m × 0.7 ÷ 10 = 0.504 ha/h is 3.38 h; with 30 minutes to set up, one half-day.
	await expect(page.getByText(/3\.9 hours with Hired overseeder/)).toBeVisible();
	await page.getByText('How this was reckoned').click();
	await expect(page.getByText('4.5 hours of work in a half-day')).toBeVisible();

	await page.getByLabel('Our final fixture is on').fill('2027-05-17');
	await page.getByRole('button', { name: 'From the day after' }).click();
	await page.getByRole('button', { name: 'Leave out' }).first().click();
	await expect(page.getByText('Training on Tuesday: 1 half-day left out.')).toBeVisible();
	await expect(page.getByRole('checkbox', { name: /Tue 18 May, morning/ })).toBeChecked();
	await expect(page.getByRole('checkbox', { name: /Tue 18 May, afternoon/ })).not.toBeChecked();
	await expect(page.getByRole('checkbox', { name: /Mon 17 May, morning/ })).not.toBeChecked();
	await page.getByLabel('First choice').selectOption({ label: 'Wed 19 May' });
	await page.getByLabel('Second choice').selectOption({ label: 'Thu 20 May' });
	await page.getByLabel('How badly is it needed?').selectOption({ label: '4: Needed badly' });
	await expectAccessible(page);
	await keepPicture(page, 'request');
	await atDesk(page, () => keepPicture(page, 'request'));

	// A tractor too weak is refused with the power that is needed; what was filled in stays.
	await page.getByLabel('Power of our tractor, kW').fill('12');
	await page.getByRole('button', { name: 'Ask for a place' }).click();
	await expect(page.getByText(/needs 25(\.0)? kW or more/).first()).toBeVisible();
	await expect(page.getByLabel('Power of our tractor, kW')).toHaveValue('12');
	await page.getByLabel('Power of our tractor, kW').fill('34');
	await page.getByRole('button', { name: 'Ask for a place' }).click();

	await expect(page.getByRole('heading', { name: 'Tansyford RFC has asked' })).toBeVisible();
	await expect(page.getByText(/best on Wed 19 May, then Thu 20 May/)).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'asked');
	await atDesk(page, () => keepPicture(page, 'asked'));

	await follow(page, 'Change our request', /\/request\?request=/);
	await expect(page.getByLabel(/First pitch/)).toBeChecked();
	await page.getByLabel('First choice').selectOption({ label: 'Fri 21 May' });
	await page.getByRole('button', { name: 'Change our request' }).click();
	await expect(page.getByText(/best on Fri 21 May, then Thu 20 May/)).toBeVisible();

	await page.getByText('Withdraw our request').click();
	await page.getByRole('button', { name: 'Withdraw it' }).click();
	await expect(page.getByText(/Your club has not asked for a place/)).toBeVisible();
});

test('a coordinator opens a hire, and sees what eleven clubs ask for', async ({ page }) => {
	await signIn(page, people.coordinator);
	await page.goto('/rounds');
	await settled(page);
	await follow(page, /Deep tines, first week of May/, /\/rounds\/./);
	await expect(page.getByText(/^11 clubs ask for a place; requests have closed/)).toBeVisible();
	await expect(page.getByText('18 half-days')).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'round-closed');
	await atDesk(page, () => keepPicture(page, 'round-closed'));

	await page.goto('/rounds/new');
	await settled(page);
	await page.getByRole('button', { name: 'Open it for requests' }).click();
	await expect(page.getByRole('link', { name: 'Give the round a title.' })).toBeVisible();
	await page.getByLabel('Title').fill('Slitting before the summer');
	await page.getByLabel('Requests close on').fill('2027-05-20');
	await page.getByLabel('Machine hired').selectOption('Hired overseeder');
	await page.getByLabel('Supplier').selectOption('Ostlerby Plant Hire');
	await page.getByLabel('First day').fill('2027-06-07');
	await page.getByLabel('Last day').fill('2027-06-09');
	await page.getByLabel('For a day, £').fill('180');
	await page.getByLabel('First and last journey').selectOption({ label: 'Clubs fetch it from the yard and take it back' });
	await page.getByRole('button', { name: 'Open it for requests' }).click();
	await expect(page.getByRole('link', { name: /its position is needed/ })).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'hire');
	await page.getByLabel('Latitude of the yard, °').fill('53.2305');
	await page.getByLabel('Longitude of the yard, °').fill('-0.9412');
	await page.getByRole('button', { name: 'Open it for requests' }).click();

	await expect(page.getByRole('heading', { name: 'Slitting before the summer' })).toBeVisible();
	await expect(page.getByText('No club has asked yet.')).toBeVisible();
	await page.getByText('Call the round off').click();
	await page.getByLabel('Why?').fill('The supplier has sold it.');
	await page.getByRole('button', { name: 'Call it off' }).click();
	await expect(page.getByText('Why it was called off: The supplier has sold it.')).toBeVisible();
});
