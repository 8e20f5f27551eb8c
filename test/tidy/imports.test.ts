// The import table can fail: each forbidden import, made on purpose in a small tree of its own, is
// found by the rule that forbids it. The real tree is checked by the stage before the tests.

import { spawnSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";

/** What the checker says of a tree in which `from` imports `to`. */
function verdict(from: string, to: string): { status: number | null; text: string } {
	const folder = mkdtempSync(join(tmpdir(), "lees-imports-"));
	for (const file of [".dependency-cruiser.cjs", "tsconfig.json", "package.json"]) {
		cpSync(join(root, file), join(folder, file));
	}
	symlinkSync(join(root, "node_modules"), join(folder, "node_modules"));
	const write = (file: string, text: string) => {
		mkdirSync(dirname(join(folder, file)), { recursive: true });
		writeFileSync(join(folder, file), text);
	};
	// The pages are no part of the root's types: without another file there would be nothing to read.
	write("host/other.ts", "export const other = 1;\n");
	const isFile = to.endsWith(".ts");
	const up = "../".repeat(from.split("/").length - 1);
	if (isFile) write(to, "export const thing = 1;\n");
	write(
		from,
		`import * as thing from "${isFile ? `${up}${to}` : to}";\nexport const it = thing;\n`,
	);
	const checker = join(root, "node_modules/.bin/depcruise");
	const args = ["--config", ".dependency-cruiser.cjs", from.split("/")[0] ?? ""];
	const { status, stdout } = spawnSync(checker, args, { cwd: folder, encoding: "utf8" });
	return { status, text: stdout };
}

describe("the import table forbids", () => {
	it.each([
		["firmware/sense/a.ts", "sim/b.ts", "firmware imports another room"],
		["firmware/sense/a.ts", "node:fs", "the pure inside of the firmware imports Node"],
		["firmware/controller.ts", "xstate", "xstate outside the cycle"],
		["firmware/interlock.ts", "firmware/cycle/trips.ts", "the interlock imports more than types"],
		["firmware/sense/a.ts", "firmware/cycle/b.ts", "sense imports the cycle"],
		["firmware/log/recovery.ts", "node:fs", "the pure inside of the firmware imports Node"],
		["sim/rig.ts", "firmware/intake.ts", "another room reaches past the firmware's public entries"],
		[
			"host/cli/a.ts",
			"firmware/sense/b.ts",
			"another room reaches past the firmware's public entries",
		],
		["sim/rig.ts", "host/cli/b.ts", "sim imports host or test"],
		["sim/physics/a.ts", "sim/b.ts", "physics imports anything"],
		["sim/rig.ts", "node:fs", "the bench or the model uses a clock or Node outside its loader"],
		["host/cli/a.ts", "test/b.ts", "host imports test"],
		["host/web/a.ts", "node:http", "the web page imports Node"],
		["host/web/a.ts", "host/serve/b.ts", "the web page imports the server or the command"],
		["host/serve/a.ts", "host/cli/b.ts", "the server imports the command"],
		["host/wiring/rules.ts", "node:fs", "the wiring uses Node outside its loader"],
		["host/report/a.ts", "hono", "hono outside the server"],
		["host/web/live/a.tsx", "node:http", "the web page imports Node"],
	])("%s importing %s: %s", (from, to, rule) => {
		const { status, text } = verdict(from, to);
		expect(text).toContain(rule);
		expect(status).toBeGreaterThan(0);
	});

	it("nothing in a tree that keeps to it", () => {
		expect(verdict("sim/bench/a.ts", "sim/b.ts").status).toBe(0);
	});
});
