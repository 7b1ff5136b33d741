declare global {
	namespace App {
		interface Error {
			message: string;
			code?: string;
			status?: number;
			requestId?: string | undefined;
		}
	}
}

export {};
