/** Where to go after signing in: only ever a path of this site. */
export function safePath(wanted: string | null): string {
	return wanted !== null && /^\/(?![/\\])/.test(wanted) ? wanted : '/';
}
