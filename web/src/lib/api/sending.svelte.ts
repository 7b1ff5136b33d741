/**
 * One form on its way to the server: whether it is busy, what went wrong, and the key that makes sending it twice
 * the same as sending it once. It never touches what was typed.
 */
import { ApiError } from './error';
import { freshKey } from './ids';

export class Sending {
	busy = $state(false);
	error = $state<ApiError | undefined>();
	done = $state<string | undefined>();
	#key = freshKey();

	/** Does the work; gives back nothing when it was refused, with the reason in `error`. */
	async run<T>(work: (key: string) => Promise<T>, done?: string): Promise<T | undefined> {
		if (this.busy) return undefined;
		this.busy = true;
		this.error = undefined;
		this.done = undefined;
		try {
			const result = await work(this.#key);
			this.#key = freshKey();
			this.done = done;
			return result;
		} catch (cause) {
			this.error = asApiError(cause);
			// A refusal is final: what is sent next is a new attempt. Anything else may have been done already.
			if (!this.error.unsure) this.#key = freshKey();
			return undefined;
		} finally {
			this.busy = false;
		}
	}

	field(name: string): string | undefined {
		return this.error?.fieldError(name);
	}

	/** Refuses before sending, with faults found here. */
	refuse(detail: string, fields: { field: string; detail: string }[] = []): void {
		this.done = undefined;
		this.error = new ApiError(422, 'not_sent', detail, { fields });
	}
}

function asApiError(cause: unknown): ApiError {
	if (cause instanceof ApiError) return cause;
	console.error(cause);
	return new ApiError(
		0,
		'unexpected',
		'Something went wrong on this page. Try again, or load the page anew.'
	);
}
