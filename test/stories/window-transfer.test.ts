// Windows of tick inputs over the link's server in memory: told a few at a time, read in stretches
// within the credit, behind the log and never instead of it; and none of a record that may be lost.

import { crc32 } from "node:zlib";
import { describe, expect, it } from "vitest";
import { RPC_ERROR, WINDOWS_LISTED } from "../../firmware/link/protocol.ts";
import { linked, logOf, sampleTexts, settle } from "./link-rig.ts";

const window = Uint8Array.from({ length: 9_000 }, (_, i) => (i * 7919) % 256);
const log = logOf(sampleTexts(60));
const withOne = () => linked(log, new Map([[40, window]]));

type Rig = ReturnType<typeof linked>;

async function ticks(rig: Rig, count: number): Promise<void> {
	for (let i = 0; i < count; i += 1) {
		rig.server.everyTick();
		await settle();
	}
}
const read = (rig: Rig, id: number, params: object) =>
	rig.client.ask(id, "window.read", { transfer: 5, seq: 40, offset: 0, frames: 64, ...params });

describe("the list", () => {
	it("tells some at a time, on and on, and fits its frame", async () => {
		const many = new Map(Array.from({ length: 25 }, (_, i) => [i + 1, window]));
		const { client } = linked(log, many);
		const seen: number[] = [];
		for (let after = 0, id = 1; ; id += 1) {
			await client.ask(id, "window.list", { after });
			const { windows } = (client.answers.at(-1)?.result ?? { windows: [] }) as {
				windows: Array<{ seq: number }>;
			};
			expect(windows.length).toBeLessThanOrEqual(WINDOWS_LISTED);
			if (windows.length === 0) break;
			seen.push(...windows.map(({ seq }) => seq));
			after = seen.at(-1) ?? 0;
		}
		expect(seen).toEqual([...many.keys()]);
	});

	it("leaves out what a record pins that is not durable yet, and so does reading", async () => {
		const rig = withOne();
		rig.work.durableSeq = 39;
		await rig.client.ask(1, "window.list", { after: 0 });
		expect(rig.client.answers.at(-1)?.result).toMatchObject({ windows: [] });
		await read(rig, 2, {});
		expect(rig.client.answers.at(-1)?.error?.code).toBe(RPC_ERROR.noWindow);
		rig.work.durableSeq = 40;
		await read(rig, 3, {});
		expect(rig.client.answers.at(-1)?.result).toMatchObject({ total: window.length });
	});
});

describe("a window", () => {
	it("comes whole, in frames that fit, with what tells it from another", async () => {
		const rig = withOne();
		await read(rig, 1, {});
		await ticks(rig, 40);
		const { windowParts, writes } = rig.client;
		expect(Buffer.concat(windowParts.map(({ bytes }) => bytes)).equals(window)).toBe(true);
		for (const part of windowParts) {
			expect(part).toMatchObject({ transfer: 5, seq: 40, total: 9_000, crc: crc32(window) });
		}
		expect(Math.max(...writes.slice(1).map(({ length }) => length))).toBeLessThanOrEqual(512);
	});

	it("comes from where it is asked for, and no further than the credit", async () => {
		const rig = withOne();
		await read(rig, 1, { offset: 4_000, frames: 2 });
		await ticks(rig, 20);
		const { windowParts } = rig.client;
		expect(windowParts.length).toBe(2);
		expect(windowParts[0]?.offset).toBe(4_000);
		const end = 4_000 + windowParts.reduce((sum, { bytes }) => sum + bytes.length, 0);
		await read(rig, 2, { transfer: 6, offset: end });
		await ticks(rig, 40);
		const rest = windowParts.filter(({ transfer }) => transfer === 6);
		expect(Buffer.concat(rest.map(({ bytes }) => bytes)).equals(window.subarray(end))).toBe(true);
	});

	it("that there is none of, or that is asked for beyond its end, brings no frame", async () => {
		const rig = withOne();
		await read(rig, 1, { seq: 41 });
		expect(rig.client.answers.at(-1)?.error?.code).toBe(RPC_ERROR.noWindow);
		await read(rig, 2, { offset: 9_000 });
		await ticks(rig, 5);
		expect(rig.client.windowParts).toEqual([]);
		await read(rig, 3, { frames: 65 });
		expect(rig.client.answers.at(-1)?.error?.code).toBe(RPC_ERROR.invalidParams);
	});

	it("ends with the next one that is asked for, and with a hello", async () => {
		const rig = withOne();
		const bytesOf = (number: number) =>
			rig.client.windowParts
				.filter(({ transfer }) => transfer === number)
				.reduce((sum, { bytes }) => sum + bytes.length, 0);
		// A line that takes 2 kB and no more holds it in the middle.
		rig.client.isStuck = true;
		await read(rig, 1, {});
		await read(rig, 2, { transfer: 6, offset: 8_000 });
		rig.client.unstick();
		await ticks(rig, 30);
		expect(bytesOf(6)).toBe(1_000);
		expect(bytesOf(5)).toBe(0);
		rig.client.isStuck = true;
		await read(rig, 3, { transfer: 7 });
		await rig.client.ask(4, "hello", {});
		rig.client.unstick();
		await ticks(rig, 30);
		expect(bytesOf(7)).toBe(0);
		await read(rig, 5, { transfer: 8 });
		await ticks(rig, 30);
		expect(bytesOf(8)).toBe(9_000);
	});

	it("stands behind what the log has to send", async () => {
		const texts = sampleTexts(3_000);
		const rig = linked(logOf(texts), new Map([[40, window]]));
		const params = { transfer: 5, seq: 40, offset: 0, frames: 64 };
		rig.client.send({ jsonrpc: "2.0", id: 1, method: "window.read", params });
		await rig.client.ask(2, "log.read", { transfer: 1, from: 1, frames: 64 });
		await ticks(rig, 120);
		const kinds = rig.client.writes.map((bytes) => bytes[1]);
		const lastOfLog = kinds.lastIndexOf(1);
		expect(kinds.filter((kind) => kind === 1).length).toBeGreaterThan(5);
		// One may have been on its way when the log was asked for.
		expect(kinds.slice(0, lastOfLog).filter((kind) => kind === 3).length).toBeLessThanOrEqual(1);
		expect(rig.client.texts()).toEqual(texts);
		const bytes = rig.client.windowParts.map((part) => part.bytes);
		expect(Buffer.concat(bytes).equals(window)).toBe(true);
	});
});
