/**
 * Asking again and again how far something is: soon at first, then less often, not while nobody looks, and at once when
 * the page is looked at again or the signal is back. A lost answer is no fault: it asks again the next time.
 */

/** How long until the next question, by how long it has been asked for, ms. */
export function pause(lastedMs: number): number {
	if (lastedMs < 20_000) return 1500;
	return lastedMs < 120_000 ? 4000 : 15_000;
}

/** Keeps asking until what is given back is called. */
export function keepLooking(ask: () => Promise<void>): () => void {
	const began = Date.now();
	let timer: ReturnType<typeof setTimeout> | undefined;
	let asking = false;
	let ended = false;

	const next = () => {
		clearTimeout(timer);
		if (!ended && !document.hidden) timer = setTimeout(look, pause(Date.now() - began));
	};
	const look = async () => {
		if (asking || ended || document.hidden) return;
		asking = true;
		await ask().catch(() => undefined);
		asking = false;
		next();
	};
	const again = () => void look();
	document.addEventListener('visibilitychange', again);
	window.addEventListener('online', again);
	next();
	return () => {
		ended = true;
		clearTimeout(timer);
		document.removeEventListener('visibilitychange', again);
		window.removeEventListener('online', again);
	};
}
