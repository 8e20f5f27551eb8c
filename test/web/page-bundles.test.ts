// What the build of the pages gives: script within its budget, page by page, and nothing of Node in
// it. Both judges are seen to fail: on scripts that are too large, and on a page that imports a
// built-in module.

import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { build, type InlineConfig } from "vite";
import { afterEach, describe, expect, it } from "vitest";
import { PAGE_BYTES_MAX, pageSizeLines, pageSizes } from "../../host/report/page-sizes.ts";
import { root } from "../stories/world.ts";

const BUILT = join(root, ".build/web");
const folders: string[] = [];
const scratch = () => {
	const folder = mkdtempSync(join(tmpdir(), "lees-pages-"));
	folders.push(folder);
	return folder;
};
afterEach(() => {
	for (const folder of folders.splice(0)) rmSync(folder, { recursive: true });
});

describe("the built pages", () => {
	it.each(pageSizes(BUILT))(
		`$page loads at most ${PAGE_BYTES_MAX / 1_000} kB of script, all that comes later counted`,
		({ allBytes }) => {
			expect(allBytes).toBeGreaterThan(1_000);
			expect(allBytes).toBeLessThanOrEqual(PAGE_BYTES_MAX);
		},
	);

	it("are five, or those that there are", () => {
		const sources = readdirSync(join(root, "host/web")).filter((name) => name.endsWith(".html"));
		expect(pageSizes(BUILT).map(({ page }) => page)).toEqual(sources);
	});

	it("hold nothing of Node and ask no outside address", () => {
		for (const name of readdirSync(join(BUILT, "assets")).filter((one) => one.endsWith(".js"))) {
			const text = readFileSync(join(BUILT, "assets", name), "utf8");
			expect(text, name).not.toMatch(/__vite-browser-external|["']node:|\brequire\(/);
			const addresses = text.match(/https?:\/\/[\w.-]+/g) ?? [];
			// Names of XML vocabularies, never asked for.
			expect(
				addresses.filter((one) => !one.startsWith("http://www.w3.org")),
				name,
			).toEqual([]);
		}
	});

	it("hold no script or style in their HTML: the server forbids it", () => {
		for (const page of readdirSync(BUILT).filter((name) => name.endsWith(".html"))) {
			const html = readFileSync(join(BUILT, page), "utf8");
			expect(html).not.toMatch(/<script(?![^>]*\bsrc=)[^>]*>|<style|\son\w+=|\sstyle=/);
		}
	});
});

describe("the sizes", () => {
	it("count what a page names, what that names, and what comes later", () => {
		const folder = scratch();
		mkdirSync(join(folder, "assets"));
		const write = (name: string, text: string) => writeFileSync(join(folder, name), text);
		// Bytes that do not compress.
		const filling = (seed: number, bytes: number) => {
			let state = seed;
			const one = () => {
				state = (state * 48_271) % 2_147_483_647;
				return (state % 36).toString(36);
			};
			return `/*${Array.from({ length: bytes }, one).join("")}*/`;
		};
		write("a.html", '<script type="module" src="/assets/a-1.js"></script>');
		write("assets/a-1.js", `import"./b-2.js";import("./c-3.js");${filling(1, 60_000)}`);
		write("assets/b-2.js", filling(2, 60_000));
		write(
			"assets/c-3.js",
			`new Worker(new URL("/assets/d-4.js",import.meta.url));${filling(3, 60_000)}`,
		);
		write("assets/d-4.js", filling(4, 150_000));
		write("assets/unasked-5.js", filling(5, 60_000));
		const [size] = pageSizes(folder);
		expect(size?.firstBytes).toBeGreaterThan(75_000);
		expect(size?.firstBytes).toBeLessThan(100_000);
		expect(size?.allBytes).toBeGreaterThan(PAGE_BYTES_MAX);
		expect(pageSizeLines(pageSizes(folder))[1]).toMatch(/a\.html +\d+\.\d kB, \d+\.\d kB with/);
	});
});

describe("a build", () => {
	const { href } = pathToFileURL(join(root, "host/web/vite.config.mjs"));
	const buildOf = async (script: string) => {
		const folder = scratch();
		writeFileSync(join(folder, "a.html"), '<script type="module" src="/a.js"></script>');
		writeFileSync(join(folder, "a.js"), script);
		const { default: config }: { default: InlineConfig } = await import(href);
		const input = [join(folder, "a.html")];
		return build({
			...config,
			configFile: false,
			root: folder,
			logLevel: "silent",
			build: { ...config.build, outDir: join(folder, "out"), rolldownOptions: { input } },
		});
	};

	it.each(["node:fs", "zlib"])("of a page that imports %s fails and names it", async (name) => {
		const script = `import * as thing from "${name}";\nconsole.log(thing);\n`;
		await expect(buildOf(script)).rejects.toThrow(`${name} is Node's own`);
	});

	it("of a page without it does not", async () => {
		await expect(buildOf("console.log(1);\n")).resolves.toBeDefined();
	});
});
