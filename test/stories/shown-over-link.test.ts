// What the link shows of the rig to a page: senses, the rig file part by part, codes to be paired
// by. Every answer fits a frame, whatever words stand in it.

import { readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { ControllerState } from "../../firmware/controller.ts";
import type { HoldCause } from "../../firmware/cycle/holds.ts";
import type { Plan } from "../../firmware/cycle/plan-schema.ts";
import { PAYLOAD_BYTES_MAX, RAW_BYTES_MAX } from "../../firmware/link/framing.ts";
import { Pairing } from "../../firmware/link/pairing.ts";
import { type Method, results, type Senses, type Status } from "../../firmware/link/protocol.ts";
import { RigText } from "../../firmware/link/rig-text.ts";
import type { LinkHost } from "../../firmware/link/server.ts";
import { statusOf } from "../../firmware/standing.ts";
import { linked } from "./link-rig.ts";
import { plainOrder } from "./well.ts";
import { rigFile, World } from "./world.ts";

/** The longest id that a request may have. */
const ID = Number.MAX_SAFE_INTEGER;

/** The answer to one request of a host of the test's own, by what the method says it is. */
async function answer(own: Partial<LinkHost>, method: Method, params: object) {
	const { client } = linked([], new Map(), own);
	await client.ask(ID, method, params);
	const frame = client.writes[0] ?? Buffer.alloc(0);
	// An END stands before it and behind it.
	expect(frame.length - 2).toBeLessThanOrEqual(RAW_BYTES_MAX);
	const [said] = client.answers;
	expect(Buffer.byteLength(JSON.stringify(said))).toBeLessThanOrEqual(PAYLOAD_BYTES_MAX);
	return { ...said, frame };
}

const pairing = (shown: string[]) =>
	new Pairing({ draw: () => "012345", show: (code) => shown.push(code), clock: () => 0 });

describe("senses over the link", () => {
	/** Sixty bytes, as LastLook cuts them. */
	const why = "the plan is armed for starboard: set up and arm again for x";

	it("fit a frame with the longest words of everything", async () => {
		const worst: Senses = {
			monoMs: 2 ** 40,
			commissioned: false,
			sensed: {
				...{ flowLph: "out-of-range", vacuumKpa: "out-of-range", bowlTapKpa: "out-of-range" },
				...{ supplyVolts: "out-of-range", motorAmps: "out-of-range", fuelC: "out-of-range" },
				...{ caseC: "out-of-range", levelFrom: "out-of-range", levelTo: "out-of-range" },
				...{ probe: "out-of-range", tray: "out-of-range", stop: "out-of-range" },
				...{ returnSeat: "out-of-range", tubeSeat: "out-of-range" },
			},
			blocked: Array.from({ length: 3 }, () => ({ code: "flow-when-stopped", why: `${why}y` })),
		};
		const { result } = await answer({ senses: () => worst }, "senses", {});
		expect(results.senses.parse(result)).toEqual(worst);
	});

	it("are null before the first tick", async () => {
		const none = { monoMs: 0, commissioned: false, sensed: null, blocked: [] };
		expect((await answer({ senses: () => none }, "senses", {})).result).toEqual(none);
	});
});

describe("a status", () => {
	const world = new World();
	const order = {
		...{ ...plainOrder, id: "x".repeat(64), work: "transfer" as const },
		...{ tank: "t".repeat(40), toTank: "u".repeat(40) },
		...{ goalLitres: 123_456.75, goalHours: null, goalShare: 0.123456 },
	};
	const waits = { id: "p".repeat(64), reasons: ["w".repeat(200)] };
	const plan = (id: string) => ({ id, plan: {} as Plan });
	const log = { durableSeq: 2 ** 31, ageMs: 0, failed: false };

	/** With the longest that there may be beside what the test puts into it. */
	function longest(id: string, change: (state: ControllerState) => ControllerState): Status {
		const { state } = world;
		const long = {
			...state,
			nowMs: 2 ** 36,
			arming: { atMs: 0, tank: "t".repeat(40), toTank: null },
			totals: { ...state.totals, run: { motorMs: 2 ** 33, pulses: 2 ** 31 } },
			schedule: { ...state.schedule, planned: [1, 2, 3, 4].map((n) => plan(n + id)), waits },
		};
		const ticking = { ticks: 2 ** 31, lateMsMax: 123_456 };
		return statusOf(world.rig, change(long), world.outputs, log, ticking);
	}

	const withTrips = (count: number) => (state: ControllerState) => {
		const trip = { code: "flow-when-stopped" as const, atMs: 0, drainSeen: false };
		const trips = Array.from({ length: count }, () => ({ ...trip, cause: "y".repeat(200) }));
		const context = { ...state.cycle.context, order, trips };
		return { ...state, cycle: { ...state.cycle, value: "tripped" as const, context } };
	};
	const asHeld = (state: ControllerState) => {
		const heldFor: HoldCause[] = ["supply-recovering", "too-low-for-this-sea", "quiet-hours"];
		const context = { ...state.cycle.context, order, heldFor: [...heldFor, "cold" as const] };
		return { ...state, cycle: { ...state.cycle, value: "held" as const, context } };
	};

	it.each([
		["one trip and an order", "p".repeat(60), withTrips(1)],
		["two trips and an order", "p".repeat(60), withTrips(2)],
		["four trips and an order", "p".repeat(60), withTrips(4)],
		["an order that is held for everything", "p".repeat(60), asHeld],
		["ids of control characters", "\u0001".repeat(60), asHeld],
		["ids that a frame escapes", "\u06cc".repeat(60), asHeld],
	])("fits a frame with %s", async (_, id, change) => {
		const status = longest(id, change);
		const { result } = await answer({ status: () => status }, "status", {});
		expect(results.status.parse(result)).toEqual(status);
		expect(status.order?.id).toBe(order.id);
	});
});

describe("the rig file over the link", () => {
	/** Asked for part by part, each decoded by itself as bytes, as a stranger's client has them. */
	async function fetched(text: string): Promise<string> {
		const own = { rigText: new RigText(text) };
		const parts: Buffer[] = [];
		let [offset, length] = [0, 1];
		while (offset < length) {
			const { result } = await answer(own, "rig.read", { offset });
			const part = results["rig.read"].parse(result);
			expect(part.text.length).toBeGreaterThan(0);
			parts.push(Buffer.from(part.text));
			offset += part.text.length;
			length = part.length;
		}
		expect(offset).toBe(length);
		return Buffer.concat(parts).toString();
	}

	it("comes whole", async () => {
		const text = readFileSync(rigFile, "utf8");
		expect(await fetched(text)).toBe(text);
		expect(text.length).toBeGreaterThan(1_000);
	});

	it.each([
		["pictures, which take two places, at every offset", `a${"😀".repeat(900)}`],
		["pictures, at the other ones", "😀".repeat(900)],
		["letters that a frame escapes", "یۀ".repeat(700)],
		["control characters", "\u0001\u0000".repeat(500)],
		["quotes and backslashes", '\\"'.repeat(700)],
		["three bytes each", "漢".repeat(700)],
	])("comes whole: %s", async (_, text) => {
		expect(await fetched(text)).toBe(text);
	});

	it("comes whole, whatever stands in it", async () => {
		const unit = fc.oneof(
			fc.constantFrom("😀", "ی", "\u0001", '"', "k: 1\n"),
			fc.string({ unit: "binary", minLength: 1, maxLength: 3 }),
		);
		const text = fc.string({ unit, minLength: 1, maxLength: 1_500, size: "max" });
		await fc.assert(
			fc.asyncProperty(text, async (whole) => {
				// As a file is read: half a pair is no UTF-8.
				const text = Buffer.from(whole).toString();
				expect(await fetched(text)).toBe(text);
			}),
			{ seed: 9, numRuns: 6 },
		);
	});

	it("is known by its revision, and is empty behind its end and never an error", async () => {
		const read = async (text: string, offset: number) =>
			results["rig.read"].parse(
				(await answer({ rigText: new RigText(text) }, "rig.read", { offset })).result,
			);
		const one = await read("rig: a\n", 0);
		expect(one.revision).toMatch(/^[0-9a-f]{16}$/);
		expect((await read("rig: b\n", 0)).revision).not.toBe(one.revision);
		expect(await read("rig: a\n", ID)).toEqual({ ...one, text: "" });
		// Within a character, by who counts otherwise: it still goes on.
		expect((await read("😀b", 1)).text).toBe("\ude00b");
	});

	it.each([[{}], [{ offset: -1 }], [{ offset: 0.5 }], [{ offset: "0" }]])(
		"is refused for %o",
		async (params) => {
			expect((await answer({}, "rig.read", params)).error?.code).toBe(-32602);
		},
	);
});

describe("pairing over the link", () => {
	it("shows the code where the controller stands and does not send it", async () => {
		const shown: string[] = [];
		const own = { pairing: pairing(shown) };
		const { frame, result } = await answer(own, "pair.show", {});
		expect(shown).toEqual(["012345"]);
		expect(result).toEqual({ isShown: true, waitSeconds: 10 });
		expect(frame.includes("012345")).toBe(false);
		expect((await answer(own, "pair.show", {})).result).toEqual({
			isShown: false,
			waitSeconds: 10,
		});
		expect((await answer(own, "pair.check", { code: "543210" })).result).toEqual({
			isRight: false,
			triesLeft: 4,
		});
		expect((await answer(own, "pair.check", { code: "012345" })).result).toEqual({
			isRight: true,
			triesLeft: 0,
		});
	});

	it.each([["12345"], ["1234567"], ["12345a"], ["١٢٣٤٥٦"], [123_456], [""]])(
		"takes six digits and nothing else: %s costs no try",
		async (code) => {
			const own = { pairing: pairing([]) };
			await answer(own, "pair.show", {});
			expect((await answer(own, "pair.check", { code })).error?.code).toBe(-32602);
			expect((await answer(own, "pair.check", { code: "000000" })).result).toMatchObject({
				triesLeft: 4,
			});
		},
	);

	it("counts the tries of all clients together", async () => {
		const { client, another } = linked([], new Map(), { pairing: pairing([]) });
		await client.ask(1, "pair.show", {});
		const others = Array.from({ length: 5 }, another);
		for (const other of others) await other.ask(1, "pair.check", { code: "999999" });
		await client.ask(2, "pair.check", { code: "012345" });
		expect(client.answers.at(-1)?.result).toEqual({ isRight: false, triesLeft: 0 });
	});
});

describe("the new methods", () => {
	it("are in the hello, which fits a frame with the longest name of a rig", async () => {
		const { result } = await answer({ rig: "\u0001".repeat(80), boot: 1e6 }, "hello", {});
		const { methods } = results.hello.parse(result);
		for (const method of ["senses", "rig.read", "pair.check", "proof.now", "fill.strike"]) {
			expect(methods).toContain(method);
		}
	});
});
