// Nothing is drawn without a seed that is stated: not by a property test, not by the simulator.
// What the machine draws by itself is named here with its reason. What a command draws is refused
// in CI without a seed (`test/e2e/seeds.test.ts`).

import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";
import { drawsIn } from "./draws.ts";

const git = ["ls-files", "--cached", "--others", "--exclude-standard"];
const files = execFileSync("git", git, { cwd: root, encoding: "utf8" }).trim().split("\n");
const code = files.filter((file) => /\.(ts|mjs|cjs)$/.test(file));
const unseeded = (file: string) =>
	drawsIn(file, readFileSync(join(root, file), "utf8")).filter(({ isSeeded }) => !isSeeded);

/** Drawn by the machine: names and secrets that nothing else may have, and that decide nothing. */
const reasons: Record<string, readonly [call: string, reason: string]> = {
	"firmware/log/store.ts": ["randomUUID", "a store's identity where there is no file"],
	"firmware/log/database.ts": ["randomUUID", "a store's identity, for good"],
	"host/bridges/trip-hooks.ts": ["randomUUID", "a message's id, the same in each repeat"],
	"host/cli/commission/desk.ts": ["randomUUID", "a command's id"],
	"host/cli/notes.ts": ["randomUUID", "a note's id, which may be given"],
	"host/cli/order.ts": ["randomUUID", "a command's id, which may be given"],
	"host/serve/deeds.ts": ["randomUUID", "the id of a stop that came without one"],
	"host/link/pairing-code.ts": ["randomInt", "a code that nobody can foresee"],
	"host/serve/sessions.ts": ["randomBytes", "what opens a session"],
	"host/web/kit/new-id.ts": ["getRandomValues", "an order's or a note's id"],
	"host/link/client.ts": ["randomInt", "where requests count from, unlike an earlier program's"],
	"host/link/window-fetch.ts": ["randomInt", "a transfer's number, unlike an earlier program's"],
	"host/link/fetching.ts": ["randomInt", "a transfer's number, unlike an earlier program's"],
};

describe("what is drawn", () => {
	it("says its seed, or is a name", () => {
		const found = code.flatMap((file) =>
			file in reasons ? [] : unseeded(file).map(({ line, call }) => `${file}:${line}: ${call}`),
		);
		expect(found).toEqual([]);
	});

	it.each(Object.entries(reasons).map(([file, [call, reason]]) => ({ file, call, reason })))(
		"$file draws once: $reason",
		({ file, call }) => {
			expect(unseeded(file)).toMatchObject([{ call }]);
		},
	);
});

describe("the reader of draws", () => {
	it.each([
		["a property without its seed", "fc.assert(fc.property(fc.nat(), held));", "fc.assert"],
		["one with other settings", "fc.assert(held, { numRuns: 9 });", "fc.assert"],
		["settings from elsewhere", "fc.assert(held, settings);", "fc.assert"],
		["a sample", "fc.sample(fc.nat(), 3);", "fc.sample"],
		["fast-check by another name", 'import check from "fast-check";', "import of fast-check"],
		["pure-rand as a whole", 'import prand from "pure-rand";', "import of pure-rand"],
		["the language's dice", "const x = Math.random();", "random"],
		["the machine's dice", "crypto.getRandomValues(bytes);", "getRandomValues"],
		["a name", "const id = randomUUID();", "randomUUID"],
		[
			"a generator fed by the clock",
			'import { xorshift128plus } from "pure-rand/generator/xorshift128plus";\n' +
				"xorshift128plus(Date.now());",
			"xorshift128plus",
		],
	])("finds %s", (_, text, call) => {
		expect(drawsIn("a.ts", text).filter(({ isSeeded }) => !isSeeded)).toMatchObject([{ call }]);
	});

	it.each([
		["a property with its seed", "fc.assert(held, { seed: 7, numRuns: 9 });"],
		["one whose seed is a constant", "fc.assert(held, { seed, numRuns: 9 });"],
		[
			"a generator with a seed",
			'import { xorshift128plus } from "pure-rand/generator/xorshift128plus";\n' +
				"xorshift128plus(options.seed ^ 5);",
		],
		["what a comment says", "// Math.random() is not called"],
	])("lets %s pass", (_, text) => {
		expect(drawsIn("a.ts", text).filter(({ isSeeded }) => !isSeeded)).toEqual([]);
	});
});
