/**
 * What the browser tests stand on: the real server with the demo region in a database of the worker's own, and visits that
 * check every page for accessibility.
 */
import { spawn } from 'node:child_process';
import { mkdirSync } from 'node:fs';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import AxeBuilder from '@axe-core/playwright';
import { test as base, expect, type Page } from '@playwright/test';

export { expect };
export type { Page };

export const root = path.resolve(path.dirname(fileURLToPath(import.meta.url)), '../..');
export const binary = path.resolve(root, process.env.TURFRING ?? 'target/debug/turfring');

export const password = 'wet tuesday night';
export const people = {
	coordinator: 'coordinator@wendlemarsh.example',
	lead: 'lead@tansyford.example',
	treasurer: 'treasurer@tansyford.example',
	volunteer: 'volunteer@tansyford.example'
};

/** A running demo; `url` is its address. */
type Demo = { url: string };

async function startDemo(): Promise<Demo & { stop: () => Promise<void> }> {
	const child = spawn(binary, ['demo', '--throw-away', '--port', '0'], { cwd: root, stdio: ['ignore', 'pipe', 'pipe'] });
	const ended = new Promise<void>((resolve) => child.on('exit', () => resolve()));
	let words = '';
	child.stderr.on('data', (data) => (words += data));
	const url = await new Promise<string>((resolve, reject) => {
		child.stdout.on('data', (data) => {
			words += data;
			const address = /running at (\S+)/.exec(words)?.[1];
			if (address) resolve(address);
		});
		child.on('exit', () => reject(new Error(`the demo did not start:\n${words}`)));
	});
	return {
		url,
		stop: async () => {
			child.kill('SIGINT');
			await ended;
		}
	};
}

export const test = base.extend<{ baseURL: string }, { demo: Demo; demoOf: string }>({
	// A file that changes what another looks at names a demo of its own: another value is another worker.
	demoOf: ['everyone', { option: true, scope: 'worker' }],
	demo: [
		async ({}, use) => {
			const demo = await startDemo();
			await use(demo);
			await demo.stop();
		},
		{ scope: 'worker', timeout: 120_000 }
	],
	baseURL: async ({ demo }, use) => use(demo.url)
});

/** Nothing may be found: WCAG 2.2 AA and the enhanced contrast the look promises. */
export async function expectAccessible(page: Page): Promise<void> {
	const { violations } = await new AxeBuilder({ page })
		.options({
			runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'],
			rules: { 'color-contrast-enhanced': { enabled: true } }
		})
		.analyze();
	expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map((node) => node.html).join(' | ')}`)).toEqual([]);
}

/** Waits until the page shows what it is about and nothing is loading. */
export async function settled(page: Page): Promise<void> {
	await expect(page.getByRole('heading', { level: 1 })).toBeVisible();
	await expect(page.getByRole('progressbar')).toHaveCount(0);
}

/** Presses a link and waits for the page it leads to. */
export async function follow(page: Page, link: string | RegExp, address: RegExp): Promise<void> {
	await page.getByRole('link', { name: link }).first().click();
	await expect(page).toHaveURL(address);
	await settled(page);
}

/** Opens a page, waits for it, checks it. With `SHOTS` set, keeps a picture there. */
export async function visit(page: Page, address: string, picture?: string): Promise<void> {
	await page.goto(address);
	await settled(page);
	await expectAccessible(page);
	await keepPicture(page, picture);
}

export async function keepPicture(page: Page, picture?: string): Promise<void> {
	const folder = process.env.SHOTS;
	if (!folder || !picture) return;
	mkdirSync(folder, { recursive: true });
	const width = page.viewportSize()?.width ?? 0;
	await page.screenshot({ path: path.join(folder, `${picture}-${width}.png`), fullPage: true });
}

/** Signs in on the sign-in page, as a person would. */
export async function signIn(page: Page, email: string): Promise<void> {
	await page.goto('/sign-in');
	await page.getByLabel('E-mail').fill(email);
	await page.getByLabel('Password').fill(password);
	await page.getByRole('button', { name: 'Sign in' }).click();
	await expect(page).not.toHaveURL(/sign-in/);
	await settled(page);
}

/** Does something at a desk's width, then returns to the phone's. */
export async function atDesk(page: Page, act: () => Promise<void>): Promise<void> {
	const phone = page.viewportSize() ?? { width: 390, height: 844 };
	await page.setViewportSize({ width: 1280, height: 900 });
	await act();
	await page.setViewportSize(phone);
}
