// The link's server without a line: what it answers, what it refuses, and that a stop never stands
// behind an order that waits for its record.

import { describe, expect, it } from "vitest";
import { linked, settle } from "./link-rig.ts";

const polish = { id: "a", polish: { tank: "port", litres: 1, attended: true } };

describe("the link's server", () => {
	it("says hello with protocol, store, methods and limits", async () => {
		const { client } = linked();
		await client.ask(1, "hello", {});
		expect(client.answers[0]?.result).toMatchObject({
			protocol: 2,
			boot: 1,
			limits: { framesPerTick: 8, bytesPerTick: 4_096, queueBytesMax: 65_536 },
		});
	});

	it("takes a stop while an order still waits for its record", async () => {
		const { client, submitted } = linked();
		await client.ask(1, "polish", polish);
		await client.ask(2, "stop", { id: "b" });
		expect(submitted.map(({ command }) => command.type)).toEqual(["polish", "stop"]);
		submitted[1]?.decide({ accepted: true, reasons: [] });
		await settle();
		expect(client.answers.map(({ id }) => id)).toEqual([2]);
	});

	it.each<[string, string, object]>([
		["transfer", "transfer", { transfer: { from: "port", to: "day", litres: 5, attended: true } }],
		["sweep", "sweep", { sweep: { tank: "port", standSeconds: 30, attended: false } }],
		[
			"plan",
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
		["cancel-plan", "cancel-plan", { planId: "a" }],
		["clock.set", "set-clock", { clock: { utcMs: 1.8e12, offsetMinutes: 60, uncertaintyMs: 500 } }],
	])("hands on %s as it was asked", async (method, type, params) => {
		const { client, submitted } = linked();
		await client.ask(1, method, { id: "a", ...params });
		expect(submitted[0]?.command).toEqual({ type, id: "a", ...params });
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
		["arrays in arrays without end", "[".repeat(900), -32700],
	])("refuses %s", async (_, message, code) => {
		const { client, submitted } = linked();
		client.send(message);
		await settle();
		expect(client.answers[0]?.error?.code).toBe(code);
		expect(submitted).toEqual([]);
	});

	it("answers busy to what is more than it can have open, but hears a stop", async () => {
		const { server, client, submitted } = linked();
		for (let id = 1; id <= 20; id += 1) {
			await client.ask(id, "polish", { ...polish, id: `o${id}` });
			server.everyTick();
		}
		expect(submitted.length).toBe(16);
		expect(client.answers.map(({ id, error }) => [id, error?.code])).toEqual(
			[17, 18, 19, 20].map((id) => [id, -32000]),
		);
		await client.ask(21, "stop", { id: "s" });
		expect(submitted.at(-1)?.command.type).toBe("stop");
		for (const { decide } of submitted) decide({ accepted: true, reasons: [] });
		await settle();
		server.everyTick();
		await client.ask(22, "hello", {});
		expect(client.answers.map(({ id }) => id)).toContain(22);
	});

	it("answers each of two clients on its own line", async () => {
		const { client, another, submitted } = linked();
		const other = another();
		await client.ask(1, "polish", polish);
		await other.ask(1, "polish", { ...polish, id: "b" });
		submitted[1]?.decide({ accepted: false, reasons: ["no"] });
		await settle();
		expect(client.answers).toEqual([]);
		expect(other.answers.map(({ result }) => result)).toEqual([
			{ accepted: false, reasons: ["no"] },
		]);
	});
});
