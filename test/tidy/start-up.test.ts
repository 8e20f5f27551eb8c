// What `lees --help` loads before it prints: nothing but commander and a few small files of ours.
// Schemas and stores take longer to load than Node to start, so each command loads its own.

import { readFileSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import { describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";

/** Imports that are there at run time, of a source file. */
const IMPORT = /^(?:import|export) (?!type )(?:[^"]*? from )?"([^"]+)";$/gm;

/** Everything that a file loads by itself: our files by path, all else by name. */
function loaded(file: string, found = new Set<string>()): Set<string> {
	found.add(relative(root, file));
	for (const [, from = ""] of readFileSync(file, "utf8").matchAll(IMPORT)) {
		if (!from.startsWith(".")) found.add(from);
		else if (!found.has(relative(root, join(dirname(file), from)))) {
			loaded(join(dirname(file), from), found);
		}
	}
	return found;
}

describe("the command's help", () => {
	// What the beginning loads by a call; all else that is called for belongs to a command.
	const entry = loaded(join(root, "host/cli/main.ts"));
	const found = [...loaded(join(root, "host/cli/program.ts"), entry)];

	it("loads no package but commander", () => {
		const packages = found.filter((name) => !name.endsWith(".ts") && !name.startsWith("node:"));
		expect(packages).toEqual(["commander"]);
	});

	it("loads a handful of our own files", () => {
		const ours = found.filter((name) => name.endsWith(".ts"));
		expect(ours).toContain("host/cli/archive-commands.ts");
		expect(ours.length).toBeLessThanOrEqual(9);
	});
});
