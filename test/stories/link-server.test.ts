// The link's server without a line: what it answers, what it refuses, and that a stop never stands
// behind an order that waits for its record.

import { describe, expect, it } from "vitest";
import type { Command } from "../../firmware/cycle/commands.ts";
import { Decisions } from "../../firmware/link/decisions.ts";
import { FrameReader, FrameWriter } from "../../firmware/link/framing.ts";
import type { Decision } from "../../firmware/link/protocol.ts";
import { type LinkHost, LinkServer } from "../../firmware/link/server.ts";
import type { StoredRecord } from "../../firmware/log/database.ts";

const settle = () => new Promise<void>((resolve) => setTimeout(resolve, 5));

const THREE: StoredRecord[] = [1, 2, 3].map((seq) => ({ seq, json: "{}", chain: "c" }));

function linked(log: StoredRecord[] | "broken" = THREE) {
	let congested = false;
	const submitted: Array<{ command: Command; decide: (decision: Decision) => void }> = [];
	const host: LinkHost = {
		storeId: "store",
		boot: 1,
		rig: "rig",
		status: () => ({
			monoMs: 0,
			state: "idle",
			trips: [],
			pumpDemanded: false,
			armed: null,
			heldFor: [],
			order: null,
			localTime: null,
			planned: [],
			waits: null,
			run: { motorMs: 0, pulses: 0 },
			pulsesPerLitre: 420,
			durableSeq: 2,
			logFailed: false,
			tickLateMsMax: 0,
			ticks: 1,
		}),
		submit: (command) => new Promise((decide) => submitted.push({ command, decide })),
		readLog: async (from, max) => {
			if (log === "broken") throw new Error("disk I/O error");
			return log.filter(({ seq }) => seq >= from).slice(0, max);
		},
	};
	const answers: Array<{ id: number | null; result?: unknown; error?: { code: number } }> = [];
	const reader = new FrameReader((payload) => answers.push(JSON.parse(payload.toString())));
	const isCongested = () => congested;
	const server = new LinkServer(host, (bytes) => reader.push(bytes), isCongested);
	const writer = new FrameWriter((bytes) => server.push(bytes));
	const send = async (message: unknown) => {
		const text = typeof message === "string" ? message : JSON.stringify(message);
		writer.send(Buffer.from(text));
		await settle();
	};
	const ask = (id: number, method: string, params: unknown) =>
		send({ jsonrpc: "2.0", id, method, params });
	const congest = () => {
		congested = true;
	};
	return { submitted, answers, send, ask, congest };
}

const polish = { id: "a", polish: { tank: "port", litres: 1, attended: true } };

describe("the link's server", () => {
	it("says hello with protocol, store and methods", async () => {
		const { answers, ask } = linked();
		await ask(1, "hello", {});
		expect(answers[0]?.result).toMatchObject({ protocol: 1, storeId: "store", boot: 1 });
	});

	it("takes a stop while an order still waits for its record", async () => {
		const { submitted, answers, ask } = linked();
		await ask(1, "polish", polish);
		await ask(2, "stop", { id: "b" });
		expect(submitted.map(({ command }) => command.type)).toEqual(["polish", "stop"]);
		submitted[1]?.decide({ accepted: true, reasons: [] });
		await settle();
		expect(answers.map(({ id }) => id)).toEqual([2]);
	});

	it.each<[string, object]>([
		["transfer", { transfer: { from: "port", to: "day", litres: 5, attended: true } }],
		["sweep", { sweep: { tank: "port", standSeconds: 30, attended: false } }],
		[
			"plan",
			{
				plan: {
					at: "2026-11-29T10:00",
					windowHours: 6,
					onCharge: true,
					work: { sweep: { tank: "port", standSeconds: 20, attended: false } },
				},
			},
		],
		["cancel-plan", { planId: "a" }],
		["set-clock", { clock: { utcMs: 1.8e12, offsetMinutes: 60, uncertaintyMs: 500 } }],
	])("hands on %s as it was asked", async (method, params) => {
		const { submitted, ask } = linked();
		await ask(1, method, { id: "a", ...params });
		expect(submitted[0]?.command).toEqual({ type: method, id: "a", ...params });
	});

	it("never sends what is not durable", async () => {
		const { answers, ask } = linked();
		await ask(1, "log.read", { from: 1 });
		const found = answers[0]?.result as { records: Array<{ seq: number }> } | undefined;
		expect(found?.records.map(({ seq }) => seq)).toEqual([1, 2]);
	});

	// JSON-RPC 2.0 specification, section 5.1: the codes of its errors.
	it.each<[string, unknown, number]>([
		["no JSON", "{", -32700],
		["no request", [1, 2], -32600],
		["an unknown method", { jsonrpc: "2.0", id: 1, method: "pump.on", params: {} }, -32601],
		["wrong params", { jsonrpc: "2.0", id: 1, method: "polish", params: { id: "a" } }, -32602],
		[
			"a key too many",
			{ jsonrpc: "2.0", id: 1, method: "stop", params: { id: "a", now: 1 } },
			-32602,
		],
	])("refuses %s", async (_, message, code) => {
		const { submitted, answers, send } = linked();
		await send(message);
		expect(answers[0]?.error?.code).toBe(code);
		expect(submitted).toEqual([]);
	});

	it("answers busy to what is more than it can have open, but hears a stop", async () => {
		const { submitted, answers, ask } = linked();
		for (let id = 1; id <= 20; id += 1) await ask(id, "polish", { ...polish, id: `o${id}` });
		expect(submitted.length).toBe(16);
		expect(answers.map(({ id, error }) => [id, error?.code])).toEqual(
			[17, 18, 19, 20].map((id) => [id, -32000]),
		);
		await ask(21, "stop", { id: "s" });
		expect(submitted.at(-1)?.command.type).toBe("stop");
		for (const { decide } of submitted) decide({ accepted: true, reasons: [] });
		await settle();
		await ask(22, "hello", {});
		expect(answers.map(({ id }) => id)).toContain(22);
	});

	it("does nothing for a client that does not read, but hears its stop", async () => {
		const { submitted, answers, ask, congest } = linked();
		congest();
		await ask(1, "status", {});
		await ask(2, "polish", polish);
		expect(answers).toEqual([]);
		await ask(3, "stop", { id: "s" });
		expect(submitted.map(({ command }) => command.type)).toEqual(["stop"]);
	});

	it("hands over a record that fits no frame in parts", async () => {
		const json = JSON.stringify({ reasons: '"'.repeat(2_000) });
		const { answers, ask } = linked([{ seq: 1, json, chain: "c" }]);
		await ask(1, "log.read", { from: 1 });
		expect(answers[0]?.result).toEqual({ records: [], large: 1, durableSeq: 2 });
		let text = "";
		for (let id = 2; text.length < json.length; id += 1) {
			await ask(id, "log.part", { seq: 1, offset: text.length });
			const part = answers.at(-1)?.result as { base64: string; bytes: number };
			expect(part.bytes).toBe(json.length);
			text += Buffer.from(part.base64, "base64").toString();
		}
		expect(text).toBe(json);
	});

	it("says when a record cannot be read", async () => {
		const { answers, ask } = linked("broken");
		await ask(1, "log.read", { from: 1 });
		expect(answers[0]?.error?.code).toBe(-32603);
	});
});

describe("decisions", () => {
	const stop = (id: string): Command => ({ type: "stop", id });
	const acknowledge = (id: string): Command => ({ type: "acknowledge", id });
	const head = { boot: 1, monoMs: 0 };

	it("are each told of its own record only", async () => {
		const decisions = new Decisions();
		const mine = decisions.submit(acknowledge("mine"));
		const refused = { ...head, seq: 5, kind: "acknowledge-refused" as const, reasons: ["no"] };
		decisions.watch([{ ...refused, id: "box-button" }], 9);
		decisions.watch([{ ...refused, id: "mine", reasons: ["too early"] }], 9);
		expect(await mine).toEqual({ accepted: false, reasons: ["too early"] });
	});

	it("promise nothing that is not durable, but tell a stop at once", async () => {
		const decisions = new Decisions();
		const told: string[] = [];
		void decisions.submit(acknowledge("a")).then(() => told.push("acknowledge"));
		void decisions.submit(stop("s")).then(() => told.push("stop"));
		const acknowledged = {
			...head,
			seq: 5,
			kind: "acknowledged" as const,
			codes: [],
			from: "box" as const,
		};
		decisions.watch(
			[
				{ ...acknowledged, id: "a" },
				{ ...head, seq: 6, kind: "stop", by: "s" },
			],
			4,
		);
		await settle();
		expect(told).toEqual(["stop"]);
		decisions.watch([], 5);
		await settle();
		expect(told).toEqual(["stop", "acknowledge"]);
	});

	it("are refused when the log has gone", async () => {
		const decisions = new Decisions();
		const open = decisions.submit(acknowledge("a"));
		decisions.fail("the log has failed");
		expect(await open).toEqual({ accepted: false, reasons: ["the log has failed"] });
	});
});
