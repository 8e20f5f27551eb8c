// The built pages, read whole when the server starts: what is not on that list is not there, so no
// path can lead out of the folder. Hashed names may be kept for ever, pages are asked for anew.

import { createHash } from "node:crypto";
import { readdirSync, readFileSync, statSync } from "node:fs";
import { extname, join, relative, sep } from "node:path";
import { gzipSync } from "node:zlib";
import { InputError } from "../../firmware/config/input-error.ts";
import type { ServeContext } from "./context.ts";

/** What is served, by its ending; other files stay where they are. */
const TYPES: Readonly<Record<string, string>> = {
	".html": "text/html; charset=utf-8",
	".js": "text/javascript; charset=utf-8",
	".css": "text/css; charset=utf-8",
	".svg": "image/svg+xml",
	".png": "image/png",
	".ico": "image/x-icon",
	".woff2": "font/woff2",
	".webmanifest": "application/manifest+json",
};
/** Packed already. */
const PACKED = new Set([".png", ".ico", ".woff2"]);
const BYTES_MAX = 50_000_000;
/** Addresses of the pages; the first is the live one. */
export const PAGES = ["live", "bench", "season", "logbook", "card"] as const;

interface Asset {
	readonly type: string;
	readonly body: Uint8Array<ArrayBuffer>;
	readonly gzipped: Uint8Array<ArrayBuffer> | null;
	readonly etag: string;
	readonly isHashed: boolean;
}

export class Assets {
	/** By address, such as `/assets/live-AbC12.js` and `/bench`. */
	private readonly byPath = new Map<string, Asset>();

	/** @throws InputError when there are no pages */
	constructor(folder: string) {
		let bytes = 0;
		for (const file of filesIn(folder)) {
			const path = `/${relative(folder, file).split(sep).join("/")}`;
			const type = TYPES[extname(file)];
			if (type === undefined) continue;
			bytes += statSync(file).size;
			if (bytes > BYTES_MAX) throw missing(folder, "far more than pages");
			this.byPath.set(path, assetOf(file, type, path));
		}
		for (const page of PAGES) {
			const asset = this.byPath.get(`/${page}.html`);
			if (asset === undefined) continue;
			this.byPath.delete(`/${page}.html`);
			this.byPath.set(page === "live" ? "/" : `/${page}`, asset);
		}
		if (this.byPath.size === 0) throw missing(folder, "no pages");
	}

	/** @returns null when there is no such thing */
	answer(c: ServeContext, path: string): Response | null {
		const asset = this.byPath.get(path);
		if (asset === undefined) return null;
		const { type, body, gzipped, etag, isHashed } = asset;
		c.header("content-type", type);
		c.header("etag", etag);
		c.header("vary", "accept-encoding");
		c.header("cache-control", isHashed ? "public, max-age=31536000, immutable" : "no-cache");
		if (c.req.header("if-none-match") === etag) return c.body(null, 304);
		const takesGzip = /\bgzip\b(?!\s*;\s*q=0(\.0*)?\s*(,|$))/.test(
			c.req.header("accept-encoding") ?? "",
		);
		if (gzipped === null || !takesGzip) return c.body(body);
		c.header("content-encoding", "gzip");
		return c.body(gzipped);
	}
}

function assetOf(file: string, type: string, path: string): Asset {
	const body = Uint8Array.from(readFileSync(file));
	const etag = `"${createHash("sha256").update(body).digest("base64url").slice(0, 22)}"`;
	const gzipped = PACKED.has(extname(file)) ? null : Uint8Array.from(gzipSync(body, { level: 9 }));
	return { type, body, gzipped, etag, isHashed: path.startsWith("/assets/") };
}

function filesIn(folder: string): string[] {
	try {
		return readdirSync(folder, { recursive: true, withFileTypes: true })
			.filter((entry) => entry.isFile())
			.map((entry) => join(entry.parentPath, entry.name));
	} catch {
		throw missing(folder, "no folder");
	}
}

function missing(file: string, found: string): InputError {
	return new InputError([{ file, found, allowed: "the built pages: `npm run build` makes them" }]);
}
