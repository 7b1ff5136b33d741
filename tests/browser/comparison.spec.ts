import { atDesk, expect, expectAccessible, follow, keepPicture, people, settled, signIn, test } from './fixtures';

/** C: how the main pitch compares with nearby clubs. */
test('a grounds lead sees where the first pitch stands among its neighbours', async ({ page }) => {
	await signIn(page, people.lead);
	await follow(page, 'Pitches', /\/pitches$/);
	await follow(page, 'First pitch', /\/pitches\/[^/]+$/);
	await expectAccessible(page);
	await keepPicture(page, 'pitch');
	await follow(page, /compare|among|others/i, /\/comparison/);
	await expect(page.getByText(/First pitch stands \d+(st|nd|rd|th) of \d+\./)).toBeVisible();
	await expect(page.getByText(/does better than \d+ in 100/)).toBeVisible();
	await page.getByText('The drawing as a table').click();
	await expect(page.getByRole('row', { name: /yours/ })).toBeVisible();
	await expectAccessible(page);
	await page.getByText('The drawing as a table').click();
	await keepPicture(page, 'comparison');
	await atDesk(page, () => keepPicture(page, 'comparison'));

	await page.getByLabel('How far').selectOption('Within 10 km');
	await page.getByLabel('Soil').selectOption('The same soil');
	await expect(page.getByText(/with fewer than 5 one could be told from another/)).toBeVisible();
	await expectAccessible(page);
	await keepPicture(page, 'comparison-too-few');
});

test('a volunteer walks a pitch on a phone and gets its score', async ({ page }) => {
	await signIn(page, people.volunteer);
	await page.goto('/pitches');
	await settled(page);
	await follow(page, 'Training pitch', /\/pitches\/[^/]+$/);
	await follow(page, /Walk/, /\/walk$/);
	await expectAccessible(page);
	await keepPicture(page, 'walk');
	const readings: Record<string, string[]> = {
		'Ground cover': ['70', '65', '80'],
		'Live weeds': ['5', '10'],
		'Bare ground': ['10', '15'],
		'Sward height': ['35', '40'],
		Evenness: ['12', '18'],
		'Root depth': ['60', '70'],
		penetration: ['9', '11']
	};
	for (const [name, values] of Object.entries(readings)) {
		const part = page.getByRole('region', { name: new RegExp(name, 'i') }).first();
		for (const value of values) {
			await part.getByLabel(/^Reading/).fill(value);
			await part.getByRole('button', { name: /^Add/ }).click();
		}
	}
	// What was typed outlives the page: the phone went to sleep.
	await page.reload();
	await settled(page);
	await expect(page.getByText(/was kept here/)).toBeVisible();
	await page.getByRole('button', { name: 'Send the walk' }).click();
	await expect(page).toHaveURL(/\/walks\//);
	await settled(page);
	await expectAccessible(page);
	await keepPicture(page, 'walked');
});
