import { sveltekit } from '@sveltejs/kit/vite';
import { defineConfig } from 'vitest/config';

export default defineConfig({
	plugins: [sveltekit()],
	// One origin in development too: the cookie and the Origin check work as they do when served.
	server: { proxy: { '/api': 'http://127.0.0.1:8080', '/calendars': 'http://127.0.0.1:8080' } },
	test: { include: ['src/**/*.test.ts'] }
});
