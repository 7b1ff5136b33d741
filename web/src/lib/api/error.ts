/** The one error type of the front end: every failed call becomes an `ApiError`. */

export interface FieldFault {
	field: string;
	detail: string;
}

export class ApiError extends Error {
	/** HTTP status; 0 when the server was not reached at all. */
	readonly status: number;
	/** Stable snake_case code of the refusal. */
	readonly code: string;
	readonly fields: FieldFault[];
	/** What else came with the refusal, such as `free` with `machine_taken`. */
	readonly extensions: Record<string, unknown>;
	readonly requestId: string | undefined;
	/** The same short words for every occurrence of the code. */
	readonly title: string | undefined;

	constructor(status: number, code: string, detail: string, more?: Partial<ApiError>) {
		super(detail);
		this.name = 'ApiError';
		this.status = status;
		this.code = code;
		this.fields = more?.fields ?? [];
		this.extensions = more?.extensions ?? {};
		this.requestId = more?.requestId;
		this.title = more?.title;
	}

	/** Whether the server may nevertheless have done what was asked: then the same key must be sent again. */
	get unsure(): boolean {
		return this.status === 0 || this.status === 429 || this.status >= 500;
	}

	fieldError(name: string): string | undefined {
		return this.fields.find((fault) => fault.field === name)?.detail;
	}
}

const KNOWN = new Set(['type', 'title', 'status', 'detail', 'code', 'errors', 'request_id', 'instance']);

/** "#/readings/0/values" and "/readings/0/values" and "readings.0.values" all name the same field. */
export function fieldName(pointer: string): string {
	return pointer.replace(/^#?\//, '').replaceAll('/', '.');
}

/** Reads a problem document; anything unreadable still becomes an error in plain words. */
export function problemFrom(status: number, body: unknown): ApiError {
	const problem = (typeof body === 'object' && body !== null ? body : {}) as Record<string, unknown>;
	const code = typeof problem.code === 'string' ? problem.code : `http_${status}`;
	const detail =
		typeof problem.detail === 'string'
			? problem.detail
			: typeof problem.title === 'string'
				? problem.title
				: status >= 500
					? 'Something went wrong on our side. What you typed is still here: try again in a minute.'
					: `The server refused this (status ${status}).`;
	const faults = Array.isArray(problem.errors) ? (problem.errors as Partial<FieldFault>[]) : [];
	return new ApiError(status, code, detail, {
		fields: faults.map((f) => ({ field: fieldName(String(f.field ?? '')), detail: String(f.detail ?? '') })),
		extensions: Object.fromEntries(Object.entries(problem).filter(([name]) => !KNOWN.has(name))),
		title: typeof problem.title === 'string' ? problem.title : undefined,
		requestId: typeof problem.request_id === 'string' ? problem.request_id : undefined
	});
}
