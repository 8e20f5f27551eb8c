// Tests run in forked processes: some load native modules or fake the timers, and none may see
// another's globals. What runs beside what is decided in file-order.ts.

import { defineConfig } from "vitest/config";
import { LongestFirst, lanes } from "./file-order.ts";

export default defineConfig({
	root: new URL("..", import.meta.url).pathname,
	test: {
		include: ["test/**/*.test.ts"],
		pool: "forks",
		maxWorkers: lanes,
		sequence: { sequencer: LongestFirst },
		// It ends what hangs and judges nothing: a core may have three of them to play.
		testTimeout: 120_000,
		// A browser takes its time where two tests share a core.
		hookTimeout: 60_000,
	},
});
