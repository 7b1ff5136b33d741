import { ApiError } from '$lib/api/error';
import type { HandleClientError } from '@sveltejs/kit';

/** Every failed load arrives here; what the server said in plain words is what the page shows. */
export const handleError: HandleClientError = ({ error, status, message }) => {
	if (error instanceof ApiError) {
		return { message: error.message, code: error.code, status: error.status, requestId: error.requestId };
	}
	if (status !== 404) console.error(error);
	return { message, status };
};
