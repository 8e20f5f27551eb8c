// How much script each built page loads, compressed as a server would: what it needs to begin, and
// all that it may ask for later, workers and parts that are loaded on demand among them. Reads the
// built files.

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";

export interface PageSize {
	readonly page: string;
	/** Script that the page begins with, gzipped, bytes. */
	readonly firstBytes: number;
	/** With what it may load later. */
	readonly allBytes: number;
}

/** Gzipped script of a page, all that comes later counted, bytes (the budget is ours). */
export const PAGE_BYTES_MAX = 199_000;

/** @param folder as `vite build` left it */
export function pageSizes(folder: string): PageSize[] {
	const scripts = new Map(
		readdirSync(join(folder, "assets"))
			.filter((name) => name.endsWith(".js"))
			.map((name) => [name, readFileSync(join(folder, "assets", name), "utf8")]),
	);
	const pages = readdirSync(folder).filter((name) => name.endsWith(".html"));
	return pages.map((page) => {
		const html = readFileSync(join(folder, page), "utf8");
		const sum = (names: ReadonlySet<string>) =>
			[...names].reduce((bytes, name) => bytes + gzipSync(scripts.get(name) ?? "").length, 0);
		return {
			page,
			firstBytes: sum(reached(html, scripts, STATIC)),
			allBytes: sum(reached(html, scripts, ANY)),
		};
	});
}

/** A script that is named in an import statement, and one that is named at all. */
const STATIC = /(?:from|import)\s*["']\.\/([\w.-]+\.js)["']/g;
const ANY = /["'`/]([\w.-]+\.js)\b/g;

/** Scripts that the page names, and those that they name in turn. */
function reached(html: string, scripts: ReadonlyMap<string, string>, pattern: RegExp): Set<string> {
	const found = new Set<string>();
	const follow = (text: string, by: RegExp) => {
		for (const [, name = ""] of text.matchAll(by)) {
			const script = scripts.get(name);
			if (script === undefined || found.has(name)) continue;
			found.add(name);
			follow(script, pattern);
		}
	};
	follow(html, ANY);
	return found;
}

/** One line a page. */
export function pageSizeLines(sizes: readonly PageSize[]): string[] {
	const kb = (bytes: number) => `${(bytes / 1000).toFixed(1)} kB`;
	const head = `script of each page, gzipped (at most ${kb(PAGE_BYTES_MAX)})`;
	const width = Math.max(...sizes.map(({ page }) => page.length));
	return [
		head,
		...sizes.map(({ page, firstBytes, allBytes }) => {
			const more = allBytes > firstBytes ? `, ${kb(allBytes)} with what is loaded later` : "";
			return `  ${page.padEnd(width)}  ${kb(firstBytes)}${more}`;
		}),
	];
}
