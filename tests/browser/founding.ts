/**
 * An empty network, founded from the command line as a hosted one is: `turfring found`, then `turfring serve --with-work` on a
 * throw-away database.
 */
import { spawn } from 'node:child_process';
import { mkdtempSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { binary, root } from './fixtures';

/** A running service and the link that makes its first coordinator. */
export type Founded = { url: string; link: string; stop: () => void };

async function freePort(): Promise<number> {
	return new Promise((resolve) => {
		const server = createServer().listen(0, '127.0.0.1', () => {
			const address = server.address();
			server.close(() => resolve(typeof address === 'object' && address ? address.port : 0));
		});
	});
}

export async function found(): Promise<Founded> {
	const port = await freePort();
	const url = `http://127.0.0.1:${port}`;
	const command = `"$0" found --network "Saltmoor Groundsmen" --name "Hester Quill" --email hester@saltmoor.example && exec "$0" serve --with-work`;
	const child = spawn(binary, ['with-database', '--', 'sh', '-c', command, binary], {
		cwd: root,
		detached: true,
		stdio: ['ignore', 'pipe', 'pipe'],
		env: {
			...process.env,
			TURFRING_LISTEN: `127.0.0.1:${port}`,
			TURFRING_PUBLIC_URL: url,
			TURFRING_SIGNING_SECRET: 'a signing secret for tests, long enough',
			TURFRING_MAIL_FOLDER: mkdtempSync(path.join(tmpdir(), 'turfring-mail-')),
			TURFRING_FILES: mkdtempSync(path.join(tmpdir(), 'turfring-files-'))
		}
	});
	let words = '';
	const link = await new Promise<string>((resolve, reject) => {
		const read = (data: Buffer) => {
			words += data;
			const address = /(http\S+\/invitation\/\S+)/.exec(words)?.[1];
			if (address) resolve(address);
		};
		child.stdout.on('data', read);
		child.stderr.on('data', read);
		child.on('exit', () => reject(new Error(`nothing was founded:\n${words}`)));
	});
	for (let tries = 0; tries < 200; tries++) {
		const up = await fetch(`${url}/api/v1/health`).catch(() => undefined);
		if (up?.ok) break;
		await new Promise((resolve) => setTimeout(resolve, 50));
	}
	return { url, link, stop: () => child.pid && process.kill(-child.pid, 'SIGINT') };
}
