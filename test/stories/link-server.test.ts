// The link's server without a line: what it answers, what it refuses, and that a stop never stands
// behind an order that waits for its record.

import { describe, expect, it } from "vitest";
import type { Command } from "../../firmware/cycle/orders.ts";
import { FrameReader, FrameWriter } from "../../firmware/link/framing.ts";
import type { Decision } from "../../firmware/link/protocol.ts";
import { type LinkHost, LinkServer } from "../../firmware/link/server.ts";

const settle = () => new Promise<void>((resolve) => setTimeout(resolve, 5));

function linked() {
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
			order: null,
			run: { motorMs: 0, pulses: 0 },
			pulsesPerLitre: 420,
			durableSeq: 2,
			logFailed: false,
			tickLateMsMax: 0,
			ticks: 1,
		}),
		submit: (command) => new Promise((decide) => submitted.push({ command, decide })),
		readLog: async (from, max) =>
			[1, 2, 3]
				.filter((seq) => seq >= from)
				.slice(0, max)
				.map((seq) => ({ seq, json: "{}", chain: "c" })),
	};
	const answers: Array<{ id: number | null; result?: unknown; error?: { code: number } }> = [];
	const reader = new FrameReader((payload) => answers.push(JSON.parse(payload.toString())));
	const server = new LinkServer(host, (bytes) => reader.push(bytes));
	const writer = new FrameWriter((bytes) => server.push(bytes));
	const send = async (message: unknown) => {
		const text = typeof message === "string" ? message : JSON.stringify(message);
		writer.send(Buffer.from(text));
		await settle();
	};
	const ask = (id: number, method: string, params: unknown) =>
		send({ jsonrpc: "2.0", id, method, params });
	return { submitted, answers, send, ask };
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

	it("drops what is more than it can have open, and goes on when answers are given", async () => {
		const { submitted, answers, ask } = linked();
		for (let id = 1; id <= 30; id += 1) await ask(id, "polish", { ...polish, id: `o${id}` });
		expect(submitted.length).toBe(16);
		for (const { decide } of submitted) decide({ accepted: true, reasons: [] });
		await settle();
		await ask(31, "hello", {});
		expect(answers.map(({ id }) => id)).toContain(31);
	});
});
