// Commands and their answers: each is told of its own record, nothing is promised that is not
// durable, and the same id never starts anything twice, not over a restart either.

import { describe, expect, it } from "vitest";
import type { Command } from "../../firmware/cycle/commands.ts";
import { Decisions } from "../../firmware/link/decisions.ts";
import { PAYLOAD_BYTES_MAX } from "../../firmware/link/framing.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { settle } from "./link-rig.ts";
import { World } from "./world.ts";

const stop = (id: string): Command => ({ type: "stop", id });
const acknowledge = (id: string): Command => ({ type: "acknowledge", id });
const head = { boot: 1, monoMs: 0 };

describe("decisions", () => {
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

	it("tell of a long list of reasons what an answer holds", async () => {
		const decisions = new Decisions();
		const open = decisions.submit(acknowledge("a"));
		const reasons = Array.from({ length: 30 }, (_, i) => `reason ${i}: ${"é".repeat(10 * i)}`);
		const refusal = { ...head, seq: 5, kind: "acknowledge-refused" as const, id: "a", reasons };
		decisions.watch([refusal], 9);
		const told = (await open).reasons;
		expect(told.slice(0, 5)).toEqual(reasons.slice(0, 5));
		expect(told.at(-1)).toBe(`and ${30 - (told.length - 1)} more`);
		const answer = { jsonrpc: "2.0", id: Number.MAX_SAFE_INTEGER, result: await open };
		expect(Buffer.byteLength(JSON.stringify(answer))).toBeLessThanOrEqual(PAYLOAD_BYTES_MAX);
	});

	it("are refused when the log has gone", async () => {
		const decisions = new Decisions();
		const open = decisions.submit(acknowledge("a"));
		decisions.fail("the log has failed");
		expect(await open).toEqual({ accepted: false, reasons: ["the log has failed"] });
	});
});

/** A controller that takes what the decisions hand on, tick by tick, and tells them its records. */
class Aboard {
	readonly world: World;
	readonly decisions: Decisions;
	/** Commands that reached a tick. */
	readonly taken: Command[] = [];
	private told: number;

	constructor(world: World, history: readonly LogRecord[] = []) {
		this.world = world;
		this.decisions = new Decisions(history);
		this.told = world.records.length;
	}

	seconds(count: number): void {
		for (let n = 0; n < 10 * count; n += 1) {
			const commands = this.decisions.take();
			this.taken.push(...commands);
			for (const command of commands) this.world.give(command);
			this.world.pass(0.1);
			const records = this.world.records.slice(this.told);
			this.told = this.world.records.length;
			this.decisions.watch(records, this.world.records.at(-1)?.seq ?? 0);
		}
	}

	get runs(): number {
		return this.world.records.filter(({ kind }) => kind === "run-begin").length;
	}
}

const polish = (id: string, tank = "port"): Command => ({
	type: "polish",
	id,
	polish: { tank, litres: 60, attended: true, sweepFirst: false },
});
const accepted = { accepted: true, reasons: [] };

describe("an id that was there before", () => {
	it("starts nothing, asked again at once, while the first waits, or long after", async () => {
		const aboard = new Aboard(new World());
		aboard.seconds(2);
		const first = aboard.decisions.submit(polish("a"));
		const second = aboard.decisions.submit(polish("a"));
		aboard.seconds(0.1);
		const third = aboard.decisions.submit(polish("a"));
		aboard.seconds(1);
		expect(await Promise.all([first, second, third])).toEqual([accepted, accepted, accepted]);
		expect(aboard.runs).toBe(1);
		aboard.world.stop();
		aboard.seconds(2);
		expect(aboard.world.name).toBe("idle");
		const late = aboard.decisions.submit(polish("a"));
		aboard.seconds(2);
		expect(await late).toEqual(accepted);
		expect(aboard.runs).toBe(1);
		expect(aboard.taken.length).toBe(1);
	});

	it("is answered when another acknowledgement has cleared the trips meanwhile", async () => {
		const aboard = new Aboard(new World());
		aboard.seconds(2);
		void aboard.decisions.submit(polish("a"));
		aboard.seconds(10);
		aboard.world.set({ supplyVolts: 10 });
		aboard.seconds(60);
		expect(aboard.world.name).toBe("tripped");
		aboard.world.set({ supplyVolts: 12.6 });
		aboard.seconds(120);
		const both = [acknowledge("k1"), acknowledge("k2")].map((one) => aboard.decisions.submit(one));
		aboard.seconds(2);
		const late = new Promise((tell) => setTimeout(tell, 100, "no answer"));
		expect(await Promise.race([late, Promise.all(both)])).toEqual([
			accepted,
			{ accepted: false, reasons: ["no trip is open"] },
		]);
	});

	it("is refused as it was, though it would be taken by now", async () => {
		const aboard = new Aboard(new World());
		aboard.seconds(2);
		aboard.world.set({ stopPressed: true });
		aboard.seconds(1);
		const first = aboard.decisions.submit(polish("a"));
		aboard.seconds(1);
		const refusal = await first;
		expect(refusal.accepted).toBe(false);
		expect(await aboard.decisions.submit(polish("a"))).toEqual(refusal);
		expect(aboard.taken.length).toBe(1);
	});

	it("starts nothing after a restart", async () => {
		const before = new Aboard(new World());
		before.seconds(2);
		const first = before.decisions.submit(polish("a"));
		before.seconds(1);
		expect(await first).toEqual(accepted);
		const again = new Decisions(before.world.records);
		expect(await again.submit(polish("a"))).toEqual(accepted);
		expect(again.take()).toEqual([]);
		void again.submit(polish("b"));
		expect(again.take()).toEqual([polish("b")]);
	});

	it("is refused after a restart that came before it began", async () => {
		const before = new Aboard(new World());
		before.seconds(2);
		const ordered = before.world.records.length;
		void before.decisions.submit(polish("a"));
		before.seconds(1);
		const order = before.world.records.findIndex(({ kind }) => kind === "order");
		expect(order).toBeGreaterThanOrEqual(ordered);
		const again = new Decisions(before.world.records.slice(0, order + 1));
		expect(await again.submit(polish("a"))).toEqual({
			accepted: false,
			reasons: ["the controller restarted before it began"],
		});
		expect(again.take()).toEqual([]);
	});

	it("of another command is refused, and does nothing", async () => {
		const decisions = new Decisions();
		void decisions.submit(polish("a"));
		expect(await decisions.submit(acknowledge("a"))).toEqual({
			accepted: false,
			reasons: ["its id was a polish's already"],
		});
		expect(decisions.take()).toEqual([polish("a")]);
	});

	it("never holds back a stop", () => {
		const decisions = new Decisions();
		void decisions.submit(polish("a"));
		for (let n = 0; n < 3; n += 1) void decisions.submit(stop("a"));
		expect(decisions.take()).toEqual([polish("a"), stop("a"), stop("a"), stop("a")]);
	});

	const told: Array<[string, Command, readonly object[], boolean]> = [
		[
			"a plan",
			{ type: "plan", id: "p", plan: somePlan() },
			[{ kind: "planned", id: "p", plan: somePlan() }],
			true,
		],
		[
			"a plan whose order has begun since",
			{ type: "plan", id: "p", plan: somePlan() },
			[
				{ kind: "planned", id: "p", plan: somePlan() },
				{ kind: "plan-ended", id: "p", by: "p", outcome: "begun", reasons: [] },
				{ kind: "order-refused", id: "p", reasons: ["a stop came after it"] },
			],
			true,
		],
		[
			"a plan that was refused",
			{ type: "plan", id: "p", plan: somePlan() },
			[{ kind: "plan-refused", id: "p", reasons: ["it is past"] }],
			false,
		],
		[
			"a plan that was cancelled",
			{ type: "cancel-plan", id: "c", planId: "p" },
			[{ kind: "plan-ended", id: "p", by: "c", outcome: "cancelled", reasons: [] }],
			true,
		],
		[
			"a clock that was set",
			{ type: "set-clock", id: "t", clock: { utcMs: 1.8e12, offsetMinutes: 0, uncertaintyMs: 1 } },
			[{ kind: "clock", id: "t", clock: { utcMs: 1.8e12, offsetMinutes: 0, uncertaintyMs: 1 } }],
			true,
		],
		[
			"water that was noted",
			{ type: "note-drained", id: "w", waterMl: 20 },
			[{ kind: "drained", id: "w", waterMl: 20 }],
			true,
		],
		[
			"an acknowledgement that cleared",
			acknowledge("k"),
			[
				{ kind: "acknowledge", id: "k", from: "link" },
				{ kind: "acknowledged", id: "k", codes: [], from: "link" },
			],
			true,
		],
		[
			"an acknowledgement that a restart cut off",
			acknowledge("k"),
			[{ kind: "acknowledge", id: "k", from: "link" }],
			false,
		],
	];
	it.each(told)("is known from the log: %s", async (_, command, bodies, isAccepted) => {
		const records = bodies.map((body, i) => ({ seq: i + 1, ...head, ...body }) as LogRecord);
		const decisions = new Decisions(records);
		expect((await decisions.submit(command)).accepted).toBe(isAccepted);
		expect(decisions.take()).toEqual([]);
	});

	it("is kept in bounds: refusals go, oldest first, and accepted work stays", async () => {
		const decisions = new Decisions();
		const order = { seq: 1, ...head, kind: "run-begin" as const, order: { id: "kept" } };
		const first = decisions.submit(polish("kept"));
		decisions.watch([order as LogRecord], 1);
		await first;
		for (let n = 0; n < 10_000; n += 1) {
			const one = decisions.submit(acknowledge(`k${n}`));
			const body = { kind: "acknowledge-refused" as const, id: `k${n}`, reasons: ["no trip"] };
			decisions.watch([{ seq: n + 2, ...head, ...body }], n + 2);
			await one;
		}
		decisions.take();
		expect(await decisions.submit(polish("kept"))).toEqual(accepted);
		expect((await decisions.submit(acknowledge("k9999"))).accepted).toBe(false);
		expect(decisions.take()).toEqual([]);
		void decisions.submit(acknowledge("k0"));
		expect(decisions.take()).toEqual([acknowledge("k0")]);
	});
});

function somePlan() {
	const work = { sweep: { tank: "port", standSeconds: 20, attended: false } };
	return { at: "2026-11-29T10:00", windowHours: 6, onCharge: false, work };
}
