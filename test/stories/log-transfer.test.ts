// The log over the link: in frames of a credit, from any record on, nothing that is not durable, a
// gap's repeat before the rest, and never in the way of an answer.

import { describe, expect, it } from "vitest";
import { linked, logOf, STORE_ID, sampleTexts, settle } from "./link-rig.ts";

const texts = sampleTexts(2_000);
const log = logOf(texts);
// Text that hardly packs: fifth powers modulo a prime.
const letter = (i: number) => String.fromCharCode(35 + (((i + 1) ** 5 % 10_007) % 57));
const noise = Array.from({ length: 3_000 }, (_, i) => letter(i)).join("");
const large = JSON.stringify({ seq: 1, boot: 1, monoMs: 1, v: 1, kind: "x", noise });

const until = async (done: () => boolean) => {
	for (let n = 0; n < 400 && !done(); n += 1) await settle();
	expect(done()).toBe(true);
};

describe("a transfer", () => {
	it("brings the whole log, and says that it has ended", async () => {
		const { client } = linked(log);
		await client.ask(1, "log.read", { transfer: 3, from: 1, frames: 64 });
		await until(() => client.pauses.length > 0);
		expect(client.answers[0]?.result).toEqual({ durableSeq: 2_000, storeId: STORE_ID });
		expect(client.texts()).toEqual(texts);
		expect(client.batches.at(-1)?.chain).toBe(log.at(-1)?.chain);
		expect(client.pauses).toEqual([{ transfer: 3, nextSeq: 2_001, durableSeq: 2_000, why: "end" }]);
	});

	it("stops when its credit is used up, and goes on with more", async () => {
		const { client } = linked(log);
		await client.ask(1, "log.read", { transfer: 3, from: 1, frames: 2 });
		await until(() => client.pauses.length > 0);
		expect(client.batches.length).toBe(2);
		const next = (client.batches[1]?.toSeq ?? 0) + 1;
		expect(client.pauses[0]).toEqual({
			transfer: 3,
			nextSeq: next,
			durableSeq: 2_000,
			why: "credit",
		});
		await client.ask(2, "log.more", { transfer: 3, frames: 1 });
		await until(() => client.pauses.length > 1);
		expect(client.batches.length).toBe(3);
		expect(client.answers[1]?.result).toEqual({ nextSeq: next, durableSeq: 2_000 });
	});

	it("goes on from any record, to any record", async () => {
		const { client } = linked(log);
		await client.ask(1, "log.read", { transfer: 3, from: 777, to: 1_234, frames: 64 });
		await until(() => client.pauses.length > 0);
		expect(client.texts()).toEqual(texts.slice(776, 1_234));
		expect(client.pauses[0]?.why).toBe("end");
	});

	it("never sends what is not durable, and follows what becomes so", async () => {
		const { server, client, work } = linked(log);
		work.durableSeq = 10;
		await client.ask(1, "log.read", { transfer: 3, from: 1, frames: 64, follow: true });
		await until(() => client.batches.length > 0);
		for (let n = 0; n < 5; n += 1) server.everyTick();
		await settle();
		expect(client.texts()).toEqual(texts.slice(0, 10));
		expect(client.pauses).toEqual([]);
		work.durableSeq = 12;
		server.everyTick();
		await settle();
		expect(client.texts()).toEqual(texts.slice(0, 12));
	});

	it("that was asked beyond the log ends at once", async () => {
		const { client } = linked(log);
		await client.ask(1, "log.read", { transfer: 3, from: 2_001, frames: 1 });
		expect(client.pauses[0]?.why).toBe("end");
		expect(client.batches).toEqual([]);
	});

	it("brings a record that fits no frame in parts", async () => {
		const { client } = linked(logOf([large]));
		await client.ask(1, "log.read", { transfer: 3, from: 1, frames: 64 });
		await until(() => client.pauses.length > 0);
		expect(client.parts.length).toBeGreaterThan(2);
		let offset = 0;
		for (const part of client.parts) {
			expect(part.offset).toBe(offset);
			offset += part.bytes.length;
		}
		expect(offset).toBe(client.parts[0]?.total);
	});

	it("gives way to a newer one: what is asked again comes before the rest", async () => {
		const { client } = linked(log);
		await client.ask(1, "log.read", { transfer: 1, from: 1, frames: 2 });
		await until(() => client.pauses.length > 0);
		client.isStuck = true;
		// With the line full, both wait for it; then the newer goes first.
		await client.ask(2, "log.more", { transfer: 1, frames: 64 });
		await settle();
		client.send({
			jsonrpc: "2.0",
			id: 3,
			method: "log.read",
			params: { transfer: 2, from: 5, to: 9, frames: 4 },
		});
		const before = client.batches.length;
		client.unstick();
		await until(() => client.pauses.some(({ transfer }) => transfer === 2));
		const order = client.batches.slice(before).map(({ transfer }) => transfer);
		expect(order[0]).toBe(2);
		expect(client.batches[before]?.fromSeq).toBe(5);
	});

	it("of the same number begins anew; a fifth is refused", async () => {
		const { server, client, work } = linked(log);
		work.durableSeq = 0;
		const read = (id: number, transfer: number) => {
			server.everyTick();
			return client.ask(id, "log.read", { transfer, from: 1, frames: 1, follow: true });
		};
		for (let n = 1; n <= 5; n += 1) await read(n, n);
		expect(client.answers.map(({ error }) => error?.code)).toEqual([
			undefined,
			undefined,
			undefined,
			undefined,
			-32000,
		]);
		await read(6, 4);
		expect(client.answers[5]?.error).toBeUndefined();
		await client.ask(7, "log.cancel", { transfer: 4 });
		await client.ask(8, "log.cancel", { transfer: 4 });
		expect(client.answers.slice(-2).map(({ result }) => result)).toEqual([
			{ wasOpen: true },
			{ wasOpen: false },
		]);
	});

	it("ends with a hello: who says it is another program", async () => {
		const { server, client, work } = linked(log);
		work.durableSeq = 0;
		await client.ask(1, "log.read", { transfer: 1, from: 1, frames: 9, follow: true });
		await client.ask(2, "hello", {});
		work.durableSeq = 2_000;
		server.everyTick();
		await settle();
		expect(client.batches).toEqual([]);
		await client.ask(3, "log.more", { transfer: 1, frames: 1 });
		expect(client.answers.at(-1)?.error?.code).toBe(-32001);
	});

	it("says when the store cannot be read", async () => {
		const { client } = linked("broken");
		await client.ask(1, "log.read", { transfer: 1, from: 1, frames: 9 });
		expect(client.pauses).toEqual([{ transfer: 1, nextSeq: 1, durableSeq: 9, why: "failed" }]);
	});

	it("leaves the line to answers: no more than 2 kB and a frame are ever on it", async () => {
		const { client } = linked(log);
		client.isStuck = true;
		await client.ask(1, "log.read", { transfer: 1, from: 1, frames: 64 });
		await until(() => client.writes.length > 3);
		await settle();
		const written = client.writes.reduce((sum, { length }) => sum + length, 0);
		expect(written).toBeLessThan(2_048 + 512);
		expect(written).toBeGreaterThan(1_024);
	});
});
