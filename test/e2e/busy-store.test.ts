// A record store that many clients read at once: a record does not wait until they have done.

import { expect, it } from "vitest";
import { drawLog } from "../archive/drawn-log.ts";
import { until } from "./live.ts";
import { ServedStore } from "./served-store.ts";

const READS = 200;

it("writes a record between two reads of the log", { timeout: 30_000 }, async () => {
	const served = await ServedStore.of(drawLog(9, 20, 200));
	const { store } = served;
	const { seq, boot } = store.last;
	const want = { transfer: 1, from: 1, offset: 0, to: seq };
	let read = 0;
	let readBefore = READS;
	const reads = Array.from({ length: READS }, async () => {
		await store.batch(want);
		read += 1;
		if (store.state().durableSeq > seq) readBefore = Math.min(readBefore, read);
	});
	store.append([{ seq: seq + 1, boot, monoMs: 9, kind: "stop", by: "somebody" }], []);
	await Promise.all(reads);
	await until(() => store.state().durableSeq > seq, 5);
	await served.close();
	expect(readBefore).toBeLessThan(READS / 10);
});
