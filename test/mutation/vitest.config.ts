// The tests by which the interlock and the trip logic are measured: table tests without a world
// around them, so that hundreds of broken copies can be tried in minutes. Branches are counted in
// the same files that are mutated. A table must not use what it tests while it is put together: a
// copy that breaks the loading of a test runs none, and counts as not noticed.

import { readFileSync } from "node:fs";
import { basename } from "node:path";
import { defineConfig } from "vitest/config";
import { BaseSequencer, type TestSpecification } from "vitest/node";

const root = new URL("../..", import.meta.url).pathname;
const { mutate } = JSON.parse(readFileSync(`${root}.stryker.config.json`, "utf8"));

/** Begins with the table of the mutated file: a run ends at the first test that notices. */
class OwnTableFirst extends BaseSequencer {
	override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
		const related: unknown = Reflect.get(this.ctx.config, "related");
		const mutated = Array.isArray(related) ? related.map((file) => basename(file, ".ts")) : [];
		const isOwn = ({ moduleId }: TestSpecification) =>
			mutated.includes(basename(moduleId, ".test.ts")) ? 0 : 1;
		const sorted = await super.sort(files);
		return sorted.sort((a, b) => isOwn(a) - isOwn(b));
	}
}

export default defineConfig({
	root,
	test: {
		include: ["test/logic/**/*.test.ts"],
		sequence: { sequencer: OwnTableFirst },
		coverage: {
			provider: "v8",
			include: mutate,
			reporter: ["json-summary"],
			reportsDirectory: ".build/mutation/coverage",
		},
	},
});
