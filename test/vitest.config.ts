// Tests run in forked processes: some load native modules or fake the timers, and none may see
// another's globals.

import { defineConfig } from "vitest/config";

export default defineConfig({
	root: new URL("..", import.meta.url).pathname,
	test: {
		include: ["test/**/*.test.ts"],
		pool: "forks",
		testTimeout: 60_000,
		// A browser takes its time where two tests share a core.
		hookTimeout: 60_000,
	},
});
