import adapter from '@sveltejs/adapter-static';

/** @type {import('@sveltejs/kit').Config} */
export default {
	compilerOptions: { runes: true },
	kit: {
		// A single-page application: the server answers every path that is not a file with index.html.
		adapter: adapter({ fallback: 'index.html' }),
		// Only the scripts of this build run; the page itself carries the hash of the one that starts it.
		csp: { mode: 'hash', directives: { 'script-src': ['self'] } }
	}
};
