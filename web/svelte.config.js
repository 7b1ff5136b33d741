import adapter from '@sveltejs/adapter-static';

/** @type {import('@sveltejs/kit').Config} */
export default {
	compilerOptions: { runes: true },
	kit: {
		// A single-page application: the server answers every path that is not a file with 200.html.
		adapter: adapter({ fallback: '200.html' })
	}
};
