// The archive's turns on the line, over a client that the test words: a log that comes slowly gives
// the line back in between and asks for it again.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { SteadyLink } from "../../host/link/steady-link.ts";
import { ArchivePulls } from "../../host/serve/archive-keeping.ts";
import { IDLE } from "../stories/idle-status.ts";
import { STORE_ID } from "../stories/link-rig.ts";

/** Answers how it stands and sends nothing of its log. */
const slow = {
	hello: { storeId: STORE_ID, rig: "Teal Willow", boot: 1 },
	client: {
		call: async () => ({ ...IDLE, durableSeq: 9_000 }),
		ask: async () => null,
		listen: () => {},
		lost: new Promise(() => {}),
	},
} as unknown as SteadyLink;

describe("a log that takes long", () => {
	it("is fetched in turns, and the line is free in between", async () => {
		const file = join(mkdtempSync(join(tmpdir(), "lees-pulls-")), "archive.sqlite");
		const told: string[] = [];
		const times = { turnMs: 200, betweenMs: 100 };
		const pulls = new ArchivePulls(file, (line) => void told.push(line), times);
		const { signal } = new AbortController();
		for (let turn = 0; turn < 2; turn += 1) {
			const beganMs = performance.now();
			await pulls.pull(slow, signal);
			// Silence alone would have ended it after ten seconds.
			expect(performance.now() - beganMs).toBeLessThan(5_000);
			const wanted = pulls.wanted();
			expect(wanted.aborted).toBe(false);
			await new Promise((resolve) => wanted.addEventListener("abort", resolve));
		}
		expect(told).toEqual([]);
		pulls.close();
	});
});
