import js from '@eslint/js';
import svelte from 'eslint-plugin-svelte';
import { defineConfig, globalIgnores } from 'eslint/config';
import globals from 'globals';
import ts from 'typescript-eslint';
import svelteConfig from './svelte.config.js';

export default defineConfig(
	globalIgnores(['.svelte-kit/', 'build/', 'src/lib/api/schema.d.ts']),
	js.configs.recommended,
	...ts.configs.recommended,
	...svelte.configs.recommended,
	{
		languageOptions: { globals: { ...globals.browser, ...globals.node } },
		rules: {
			// TypeScript itself reports unknown names.
			'no-undef': 'off',
			'max-lines': ['error', { max: 400 }],
			// The application is served at the root of its own origin: there is no base path to resolve.
			'svelte/no-navigation-without-resolve': 'off'
		}
	},
	{
		files: ['**/*.svelte', '**/*.svelte.ts'],
		languageOptions: {
			parserOptions: { extraFileExtensions: ['.svelte'], parser: ts.parser, svelteConfig }
		}
	},
	{
		files: ['src/lib/**/*.svelte'],
		rules: { 'max-lines': ['error', { max: 200 }] }
	}
);
