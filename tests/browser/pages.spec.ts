import { expect, people, signIn, test, visit, type Page } from './fixtures';

/** Every page, as the person it is for, on a phone and at a desk: it opens, says what it is about and axe finds nothing. */
const outside = ['/sign-in', '/forgotten', '/api'];
const inside: Record<keyof typeof people, string[]> = {
	coordinator: [
		'/',
		'/machines?from=2027-05-03',
		'/machines/new',
		'/bookings',
		'/rounds',
		'/rounds/new',
		'/orders',
		'/orders/new',
		'/pitches',
		'/network',
		'/network/people',
		'/network/import',
		'/network/suppliers',
		'/network/scheme',
		'/network/mails',
		'/account'
	],
	lead: ['/', '/machines', '/bookings', '/rounds', '/orders', '/pitches', '/club', '/shares', '/account'],
	treasurer: ['/', '/orders', '/shares', '/pitches', '/club'],
	volunteer: ['/', '/machines', '/pitches']
};

const widths = [390, 1280];

function nameOf(address: string): string {
	return address.replace(/\?.*/, '').replaceAll('/', '-').replace(/^-/, '') || 'start';
}

/** Nothing may stick out sideways: a page that scrolls both ways cannot be read with one hand. */
async function expectFits(page: Page) {
	const [wide = 0, room = 0] = await page.evaluate(() => [document.documentElement.scrollWidth, window.innerWidth]);
	expect(wide).toBeLessThanOrEqual(room);
}

for (const width of widths) {
	test.describe(`at ${width} px`, () => {
		test.use({ viewport: { width, height: 900 } });

		test('pages for everyone', async ({ page }) => {
			for (const address of outside) {
				await visit(page, address, `outside-${nameOf(address)}`);
				await expectFits(page);
			}
		});

		for (const [who, addresses] of Object.entries(inside)) {
			test(`pages of the ${who}`, async ({ page }) => {
				test.setTimeout(120_000);
				await signIn(page, people[who as keyof typeof people]);
				for (const address of addresses) {
					await visit(page, address, `${who}-${nameOf(address)}`);
					await expectFits(page);
				}
			});
		}

		test('in the dark', async ({ page }) => {
			await page.emulateMedia({ colorScheme: 'dark' });
			await signIn(page, people.lead);
			for (const address of ['/', '/machines?from=2027-05-03', '/orders', '/pitches']) {
				await visit(page, address, `dark-${nameOf(address)}`);
			}
		});
	});
}
