// What a hostile or broken client may cost: work counted in frames and bytes of a tick, memory in
// bytes that wait. Whoever passes a limit is dropped, and everybody else is still answered.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { FrameWriter } from "../../firmware/link/framing.ts";
import { linked, logOf, sampleTexts, settle } from "./link-rig.ts";

function framed(message: object): Buffer {
	const made: Buffer[] = [];
	new FrameWriter((bytes) => made.push(bytes)).send(Buffer.from(JSON.stringify(message)));
	return Buffer.concat(made);
}

const status = (id: number) => framed({ jsonrpc: "2.0", id, method: "status", params: {} });
const statuses = (count: number) =>
	Buffer.concat(Array.from({ length: count }, (_, i) => status(i)));

describe("in one tick", () => {
	it("eight frames are handled, whatever comes", async () => {
		const { server, client, work } = linked();
		client.push(statuses(500));
		await settle();
		expect(work.statuses).toBe(8);
		for (let tick = 1; tick <= 10; tick += 1) {
			server.everyTick();
			await settle();
			expect(work.statuses).toBe(8 + 8 * tick);
		}
	});

	it("eight frames of all clients together", async () => {
		const { server, another, work } = linked();
		const clients = [1, 2, 3, 4, 5].map(another);
		for (const client of clients) client.push(statuses(50));
		work.statuses = 0;
		server.everyTick();
		await settle();
		expect(work.statuses).toBe(8);
	});

	it("broken frames count like good ones", async () => {
		const { server, client, work } = linked();
		const broken = status(1);
		broken[5] = (broken[5] ?? 0) ^ 1;
		client.push(Buffer.concat([...Array.from({ length: 20 }, () => broken), status(2)]));
		server.everyTick();
		await settle();
		expect(work.statuses).toBe(0);
		server.everyTick();
		await settle();
		expect(work.statuses).toBe(1);
	});

	it("4 kB are looked at, of noise without end too", async () => {
		const { server, client, work } = linked();
		client.push(Buffer.alloc(20_000, 0x55));
		client.push(status(1));
		// Five ticks for 20,000 bytes: the first share went with the bytes themselves.
		for (let tick = 0; tick < 3; tick += 1) server.everyTick();
		await settle();
		expect(work.statuses).toBe(0);
		server.everyTick();
		await settle();
		expect(work.statuses).toBe(1);
	});

	it("a quiet client's stop is among the first, whatever another one sends", async () => {
		const { server, client, another, submitted } = linked();
		const quiet = another();
		client.push(statuses(500));
		quiet.push(framed({ jsonrpc: "2.0", id: 1, method: "stop", params: { id: "s" } }));
		expect(submitted).toEqual([]);
		server.everyTick();
		await settle();
		expect(submitted.map(({ command }) => command.type)).toEqual(["stop"]);
	});

	it("a request is answered at once while the tick has work to give", async () => {
		const { client } = linked();
		client.push(status(1));
		await settle();
		expect(client.answers.map(({ id }) => id)).toEqual([1]);
	});
});

/** What may come over a line that nobody can trust. */
const pieces = fc.array(
	fc.oneof(
		fc.uint8Array({ maxLength: 300 }).map((noise) => ({ noise })),
		fc.nat(200).map((cut) => ({ cut })),
		fc.nat(400).map((bit) => ({ bit })),
		fc.integer({ min: 1_201, max: 3_000 }).map((oversized) => ({ oversized })),
		fc.json({ maxDepth: 4 }).map((json) => ({ json })),
		fc.constant({ twice: true as const }),
		fc.constant({ escape: true as const }),
	),
	{ maxLength: 25 },
);
type Piece = typeof pieces extends fc.Arbitrary<Array<infer P>> ? P : never;

function bytesOf(piece: Piece): Buffer {
	const good = status(7);
	if ("noise" in piece) return Buffer.from(piece.noise);
	if ("cut" in piece) return good.subarray(0, piece.cut % good.length);
	if ("oversized" in piece) return Buffer.alloc(piece.oversized, 0x41);
	if ("twice" in piece) return Buffer.concat([good, good]);
	if ("escape" in piece) return Buffer.from([0xc0, 0x41, 0xdb, 0x41, 0xdb]);
	if ("json" in piece) return framed(JSON.parse(piece.json) as object);
	const at = (piece.bit >> 3) % good.length;
	good[at] = (good[at] ?? 0) ^ (1 << (piece.bit & 7));
	return good;
}

describe("whatever has come before", () => {
	it("a good frame is answered, and nothing is ordered that was not", async () => {
		await fc.assert(
			fc.asyncProperty(pieces, async (list) => {
				const { server, client, submitted } = linked();
				for (const piece of list) client.push(bytesOf(piece));
				client.push(status(999));
				for (let tick = 0; tick < 40; tick += 1) server.everyTick();
				await settle();
				expect(client.answers.map(({ id }) => id)).toContain(999);
				expect(submitted).toEqual([]);
				expect(client.drops).toBe(0);
			}),
			{ seed: 20_261_131, numRuns: 200 },
		);
	});
});

describe("a client is dropped", () => {
	it("when more than 64 kB wait for their turn, and others are answered", async () => {
		const { server, client, another, work } = linked();
		const other = another();
		const flood = Buffer.alloc(8_192, 0x55);
		let pushed = 0;
		while (client.drops === 0 && pushed < 1_000_000) {
			client.push(flood);
			pushed += flood.length;
		}
		// What waits and what was looked at as it came.
		expect(pushed).toBeGreaterThan(65_536);
		expect(pushed).toBeLessThanOrEqual(65_536 + 4_096 + flood.length);
		server.everyTick();
		await other.ask(1, "status", {});
		expect(other.answers.map(({ id }) => id)).toEqual([1]);
		expect(work.statuses).toBe(1);
		expect(other.drops).toBe(0);
	});

	it("when it does not read its answers, at 64 kB", async () => {
		const { server, client, another } = linked();
		const other = another();
		client.isStuck = true;
		for (let tick = 0; client.drops === 0 && tick < 200; tick += 1) {
			client.push(statuses(8));
			server.everyTick();
			await settle();
		}
		expect(client.drops).toBe(1);
		server.everyTick();
		await other.ask(1, "status", {});
		expect(other.answers.length).toBe(1);
	});

	it("and begins anew on the same line: no old answer, transfer or half frame", async () => {
		const { server, client, submitted, work } = linked(logOf(sampleTexts(50)));
		work.durableSeq = 0;
		const order = { id: "a", polish: { tank: "port", litres: 1, attended: true } };
		await client.ask(1, "polish", order);
		await client.ask(2, "log.read", { transfer: 1, from: 1, frames: 9, follow: true });
		while (client.drops === 0) client.push(Buffer.alloc(8_192, 0x55));
		work.durableSeq = 50;
		submitted[0]?.decide({ accepted: true, reasons: [] });
		server.everyTick();
		await settle();
		expect(client.answers.map(({ id }) => id)).toEqual([2]);
		expect(client.batches).toEqual([]);
		await client.ask(3, "status", {});
		expect(client.answers.map(({ id }) => id)).toEqual([2, 3]);
	});
});

describe("commands", () => {
	const note = (id: number) => ({ id: `n${id}`, waterMl: 1 });

	it("are done twenty at once and then one a second; a stop is always done", async () => {
		const { server, another, submitted } = linked();
		const clients = [another(), another()];
		const ask = async (id: number) => {
			await clients[id % 2]?.ask(id, "note-drained", note(id));
			for (const { decide } of submitted) decide({ accepted: true, reasons: [] });
			await settle();
		};
		for (let id = 1; id <= 30; id += 1) {
			await ask(id);
			// The frames' own budget, without the time that a tick takes.
			if (id % 5 === 0) server.everyTick();
		}
		expect(submitted.length).toBe(20);
		const busy = clients.flatMap(({ answers }) =>
			answers.filter(({ error }) => error !== undefined),
		);
		expect(busy.map(({ error }) => error?.code)).toEqual(Array.from({ length: 10 }, () => -32000));
		for (let tick = 0; tick < 10; tick += 1) server.everyTick();
		await ask(31);
		await ask(32);
		expect(submitted.length).toBe(21);
		await clients[0]?.ask(33, "stop", { id: "s" });
		expect(submitted.at(-1)?.command.type).toBe("stop");
	});
});
