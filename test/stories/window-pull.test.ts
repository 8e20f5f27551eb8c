// A pull whose controller cannot give a window, or gives another one than it is called: that one is
// left out and told, all others come, and a good one comes with a later pull.

import { afterEach, describe, expect, it } from "vitest";
import { RPC_ERROR } from "../../firmware/link/protocol.ts";
import { RpcFailure } from "../../firmware/link/requests.ts";
import { encodeRun } from "../../firmware/log/kept-run.ts";
import { Tape } from "../../firmware/log/tape.ts";
import { linked, logOf, STORE_ID, sampleTexts } from "./link-rig.ts";
import { pulledRig } from "./pulled-rig.ts";

const closers: Array<() => void> = [];
afterEach(() => {
	for (const close of closers.splice(0).reverse()) close();
});

const windowOf = (seq: number, { storeId = STORE_ID, boot = 1 } = {}) =>
	encodeRun({
		head: { source: { type: "window", storeId, seq, boot }, origin: null },
		stretches: [
			{ begin: { type: "state", state: { nowMs: 0 } }, tape: new Tape(["a"]), texts: null },
		],
	});

const SEQS = [10, 20, 30];

/** A controller with windows of three records, all good; and pulls from it into one archive. */
async function bench() {
	const windows = new Map(SEQS.map((seq) => [seq, windowOf(seq)]));
	const { server, work } = linked(logOf(sampleTexts(40)), windows);
	const { archive, pullAll, close } = await pulledRig({ server });
	closers.push(close);
	const here = () => archive.windows(STORE_ID).map(({ seq }) => seq);
	return { windows, work, archive, pullAll, here };
}

describe("a window", () => {
	it("that the controller cannot make is left out, the others come, and it is told", async () => {
		const { work, pullAll, here } = await bench();
		work.making.set(20, () => Promise.reject(new Error("bytes that do not inflate")));
		const pulled = await pullAll();
		expect(pulled).toMatchObject({ windows: 2, windowsWanted: 3, losses: 0, isComplete: false });
		expect(pulled.windowsLeftOut).toEqual([
			{ seq: 20, code: RPC_ERROR.internal, message: "bytes that do not inflate" },
		]);
		expect(here()).toEqual([10, 30]);
		work.making.clear();
		expect(await pullAll()).toMatchObject({ windows: 1, windowsLeftOut: [], isComplete: true });
		expect(here()).toEqual(SEQS);
	});

	it("for which the controller is too busy is asked for again", async () => {
		const { work, pullAll, here } = await bench();
		let asked = 0;
		work.making.set(20, async () => {
			asked += 1;
			if (asked < 3) throw new RpcFailure(RPC_ERROR.busy, "busy");
		});
		expect(await pullAll()).toMatchObject({ windows: 3, windowsLeftOut: [], isComplete: true });
		expect(here()).toEqual(SEQS);
	});

	it("that has gone meanwhile is not missed", async () => {
		const { work, pullAll } = await bench();
		work.making.set(20, () => Promise.reject(new RpcFailure(RPC_ERROR.noWindow, "no such window")));
		const gone = { windows: 2, windowsWanted: 2, windowsLeftOut: [], isComplete: true };
		expect(await pullAll()).toMatchObject(gone);
	});

	it("that is another one than it is called is not kept, and a good one comes later", async () => {
		const { windows, pullAll, here, archive } = await bench();
		const good = windowOf(20);
		const asked = `the window of record 20, boot 1, log ${STORE_ID}`;
		const cut = good.subarray(0, good.length - 1);
		for (const [bad, found] of [
			[windowOf(21), `the window of record 21, boot 1, log ${STORE_ID}`],
			[windowOf(20, { boot: 2 }), `the window of record 20, boot 2, log ${STORE_ID}`],
			[windowOf(20, { storeId: "another" }), "the window of record 20, boot 1, log another"],
			[Uint8Array.of(1, 2, 3), "no kept run at byte 0"],
			[cut, `a file that ends early, at byte ${cut.length}`],
		] as const) {
			windows.set(20, bad);
			const { windowsLeftOut, isComplete } = await pullAll();
			const message = `window.read  found ${found}; allowed: ${asked}`;
			expect(windowsLeftOut).toEqual([{ seq: 20, code: null, message }]);
			expect(isComplete).toBe(false);
			expect(here()).toEqual([10, 30]);
		}
		windows.set(20, good);
		expect(await pullAll()).toMatchObject({ windows: 1, isComplete: true });
		expect(Buffer.from(good).equals(archive.window(STORE_ID, 20) ?? Buffer.of())).toBe(true);
	});
});
