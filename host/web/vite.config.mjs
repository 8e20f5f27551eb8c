// How the pages are built: every HTML file here is one, its script split where pages share it. The
// server in host/serve gives them away from .build/web; nothing of them asks another address.

import { readdirSync } from "node:fs";
import { isBuiltin } from "node:module";
import { join } from "node:path";
import { defineConfig } from "vite";
import { benchWorldPlugin } from "./bench/world-plugin.mjs";
import { unusedPartsPlugin } from "./unused-parts-plugin.mjs";

const here = import.meta.dirname;
const pages = readdirSync(here).filter((name) => name.endsWith(".html"));

/** Vite would put an empty module in its place, and the page would break when it is used. */
const noBuiltins = {
	name: "no-builtins",
	enforce: "pre",
	resolveId(source, importer) {
		if (importer !== undefined && isBuiltin(source)) {
			this.error(`${source} is Node's own, and ${importer} is for a browser`);
		}
		return null;
	},
};

const world = benchWorldPlugin(join(here, "../.."));

/** What is read for its types or its names alone is not loaded: none of ours acts when imported. */
const OURS = /\/(firmware|sim|host\/(report|serve))\/[^?]*\.ts$/;
const treeshake = { moduleSideEffects: (id) => !OURS.test(id) };

/** A schema that nobody asks for is left out with all that it is made of. */
const pureSchemas = {
	name: "pure-schemas",
	enforce: "pre",
	transform(code, id) {
		if (!OURS.test(id) || !code.includes('from "zod"')) return null;
		return { code: code.replace(/(?<![\w.])z\.(?=\w+\()/g, "/* @__PURE__ */ z."), map: null };
	},
};

export default defineConfig({
	root: here,
	base: "/",
	logLevel: "warn",
	plugins: [pureSchemas, noBuiltins, world, unusedPartsPlugin],
	build: {
		outDir: join(here, "../../.build/web"),
		emptyOutDir: true,
		target: "es2023",
		// A page's script may not hold code of its own in its HTML: the server forbids it.
		modulePreload: { polyfill: false },
		assetsInlineLimit: 0,
		rolldownOptions: { input: pages.map((name) => join(here, name)), treeshake },
	},
	worker: {
		format: "es",
		plugins: () => [pureSchemas, noBuiltins, world, unusedPartsPlugin],
		rolldownOptions: { treeshake },
	},
});
