// The order of the test files: each once, whatever is listed; what is listed is there; and what
// waits runs beside what works.

import { existsSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { inOrder, lengths } from "../file-order.ts";
import { root } from "../stories/world.ts";

const files = readdirSync(join(root, "test"), { recursive: true })
	.map((file) => `test/${file}`)
	.filter((file) => file.endsWith(".test.ts"));

describe("the order of the test files", () => {
	it("lists only files that are there", () => {
		expect(Object.keys(lengths).filter((file) => !existsSync(join(root, file)))).toEqual([]);
	});

	it.each([1, 2, 8])("has each of them once, for %i cores", (cores) => {
		expect(inOrder(files, cores).sort()).toEqual([...files].sort());
	});

	it("begins with the longest that waits and the longest that work", () => {
		expect(inOrder(files, 2).slice(0, 3)).toEqual([
			"test/e2e/live.test.ts",
			"test/e2e/emulated.test.ts",
			"test/properties/scenarios.test.ts",
		]);
	});

	it("plays no two that wait at once while there is work", () => {
		const [a = "", b = "", c = "", d = ""] = Object.keys(lengths).filter(
			(file) => lengths[file]?.waits === true,
		);
		const short = ["test/tidy/a.test.ts", "test/tidy/b.test.ts"];
		// Each waits for longer than all the work takes: only the first may come before it.
		expect(inOrder([a, b, c, d, ...short], 1)).toEqual([a, ...short, b, c, d]);
	});
});
