// The built pages over plain HTTP for a browser test, with the policy that the real server sends
// and nothing else of it: a page that needs more shows here.

import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { extname, join, normalize } from "node:path";
import { root } from "../stories/world.ts";

const TYPES: Readonly<Record<string, string>> = {
	".html": "text/html; charset=utf-8",
	".js": "text/javascript; charset=utf-8",
	".css": "text/css; charset=utf-8",
	".svg": "image/svg+xml",
};

export interface PageFiles {
	/** As `http://127.0.0.1:1234`. */
	readonly origin: string;
	/** From now on nobody answers. */
	close(): Promise<void>;
}

/** A page is asked for by its name, as `/bench`. */
export async function servePageFiles(): Promise<PageFiles> {
	const server = createServer((request, response) => {
		const path = normalize(new URL(request.url ?? "/", "http://here").pathname);
		const file = extname(path) === "" ? `${path}.html` : path;
		try {
			const body = readFileSync(join(root, ".build/web", file));
			response.setHeader("content-type", TYPES[extname(file)] ?? "application/octet-stream");
			response.setHeader("content-security-policy", "default-src 'self'");
			response.end(body);
		} catch {
			response.statusCode = 404;
			response.end();
		}
	});
	await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
	const { port } = server.address() as AddressInfo;
	return {
		origin: `http://127.0.0.1:${port}`,
		close: () =>
			new Promise((resolve) => {
				server.close(() => resolve());
				server.closeAllConnections();
			}),
	};
}
