/**
 * Photos on their way: made smaller before they are kept or sent, and kept on this device until they have arrived. A
 * picture drawn anew says nothing of where it was taken; the server makes sure of it once more.
 */
import { ApiError } from '$lib/api/error';
import { sendFile } from './calls';

/** The longest edge, in pixels: a cracked weld still shows, and it goes through on a weak signal. */
const LONGEST_EDGE = 1600;
const QUALITY = 0.8;
const STORE = 'photos';

function database(): Promise<IDBDatabase> {
	return new Promise((resolve, reject) => {
		const opening = indexedDB.open('turfring', 1);
		opening.onupgradeneeded = () => opening.result.createObjectStore(STORE);
		opening.onsuccess = () => resolve(opening.result);
		opening.onerror = () => reject(opening.error);
	});
}

async function within<T>(
	mode: IDBTransactionMode,
	act: (store: IDBObjectStore) => IDBRequest<T>
): Promise<T> {
	const opened = await database();
	try {
		return await new Promise<T>((resolve, reject) => {
			const request = act(opened.transaction(STORE, mode).objectStore(STORE));
			request.onsuccess = () => resolve(request.result);
			request.onerror = () => reject(request.error);
		});
	} finally {
		opened.close();
	}
}

export const keepPhoto = (id: string, photo: Blob) =>
	within('readwrite', (store) => store.put(photo, id)).then(() => undefined);
export const keptPhoto = (id: string) =>
	within<Blob | undefined>('readonly', (store) => store.get(id) as IDBRequest<Blob | undefined>);
export const forgetPhoto = (id: string) => within('readwrite', (store) => store.delete(id));

/** Photos being sent with what refers to them. Each goes under the id it was kept by: sent again, it is the same file. */
export class PhotoPost {
	#arrived = new Set<string>();

	/** Sends those that have not arrived yet, so that a weak signal carries each once. */
	async send(networkId: string, ids: string[]): Promise<void> {
		for (const id of ids) {
			const photo = this.#arrived.has(id) ? undefined : await keptPhoto(id);
			if (photo) await sendFile(networkId, id, 'fault.jpg', photo);
			this.#arrived.add(id);
		}
	}

	/** After a refusal: perhaps one has waited too long and is gone, so the next attempt sends all again. */
	startAgain(): void {
		this.#arrived.clear();
	}
}

/** Draws a photo anew, smaller and upright. */
export async function smaller(file: Blob): Promise<Blob> {
	const picture = await createImageBitmap(file).catch(() => {
		throw new ApiError(0, 'no_picture', 'This is not a picture that can be opened here. Take another one.');
	});
	const scale = Math.min(1, LONGEST_EDGE / Math.max(picture.width, picture.height));
	const canvas = document.createElement('canvas');
	canvas.width = Math.max(1, Math.round(picture.width * scale));
	canvas.height = Math.max(1, Math.round(picture.height * scale));
	canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
	picture.close();
	return new Promise((resolve, reject) => {
		const done = (blob: Blob | null) => (blob ? resolve(blob) : reject(new Error('no picture came out')));
		canvas.toBlob(done, 'image/jpeg', QUALITY);
	});
}
