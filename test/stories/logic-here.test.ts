// The hash of what decides is over all that the controller imports: the list is compared with what
// the compiler's own parser finds in the sources.

import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import ts from "typescript";
import { describe, expect, it } from "vitest";
import { decidingFiles, logicHere } from "../../host/cli/logic-here.ts";
import { root } from "./world.ts";

const firmware = join(root, "firmware");

/** Relative paths that a module imports for more than types. */
function importsIn(text: string): string[] {
	const { statements } = ts.createSourceFile("it.ts", text, ts.ScriptTarget.ES2023);
	return statements.flatMap((statement) => {
		const isImport = ts.isImportDeclaration(statement);
		if (!isImport && !ts.isExportDeclaration(statement)) return [];
		const isType = isImport ? statement.importClause?.isTypeOnly : statement.isTypeOnly;
		const from = statement.moduleSpecifier;
		if (isType === true || from === undefined || !ts.isStringLiteral(from)) return [];
		return from.text.startsWith(".") ? [from.text] : [];
	});
}

function closure(roots: readonly string[]): string[] {
	const found = new Set<string>();
	for (const left = [...roots]; ; ) {
		const name = left.pop();
		if (name === undefined) return [...found].sort();
		if (found.has(name)) continue;
		found.add(name);
		const imports = importsIn(readFileSync(join(firmware, name), "utf8"));
		left.push(...imports.map((path) => join(dirname(name), path)));
	}
}

describe("the files that decide", () => {
	const names = decidingFiles(firmware, ".ts").map(([name]) => name);

	it("are what the controller and the readers of its files import", () => {
		expect(names).toEqual(closure(["controller.ts", "config/rig.ts", "config/pins.ts"]));
	});

	it("are those of the log and the board as well, and no shell", () => {
		expect(names).toEqual(
			expect.arrayContaining([
				...["log/recovery.ts", "log/writer.ts", "log/tick-records.ts", "board/port.ts"],
				...["cycle/setpoints.ts", "sense/sense.ts", "totals.ts"],
			]),
		);
		expect(names.filter((name) => /^(main|link|log\/store)/.test(name))).toEqual([]);
	});

	it("have one hash, whenever it is asked for", () => {
		expect(logicHere().hash).toMatch(/^[0-9a-f]{12}$/);
		expect(logicHere()).toEqual(logicHere());
	});
});
