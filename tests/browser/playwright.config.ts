import { defineConfig } from '@playwright/test';

/** The installed Chromium: no downloads. Nothing is retried: a flaky test is a bug. */
export default defineConfig({
	testDir: '.',
	outputDir: 'results',
	workers: 2,
	retries: 0,
	forbidOnly: true,
	timeout: 60_000,
	reporter: [['list']],
	use: {
		browserName: 'chromium',
		locale: 'en-GB',
		timezoneId: 'Europe/London',
		viewport: { width: 390, height: 844 },
		launchOptions: {
			executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
			args: [
				'--no-sandbox',
				'--disable-gpu',
				'--disable-quic',
				'--no-first-run',
				'--disable-background-networking',
				'--disable-component-update',
				'--disable-sync'
			]
		}
	}
});
