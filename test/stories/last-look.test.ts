// What the controller shows of its senses: the quantities of the last tick, and why a press of the
// box's button would be refused now, as that press then finds it.

import { describe, expect, it } from "vitest";
import { createController } from "../../firmware/controller.ts";
import { LastLook } from "../../firmware/last-look.ts";
import type { Facts } from "./world.ts";
import { codes, exampleRig, pins, World } from "./world.ts";

/** A world whose controller is looked at. */
function looked() {
	const rig = exampleRig();
	const look = new LastLook(rig);
	const world = new World(rig, createController(rig, pins, look.stages));
	const senses = () => look.senses(world.state, world.facts.commissioned);
	return { world, look, senses };
}

function polishing(attended = false) {
	const made = looked();
	made.world.pass(1);
	made.world.polish({ attended });
	made.world.passUntil(() => made.world.name === "polishing", 60);
	return made;
}

describe("what was sensed", () => {
	it("is nothing before the first tick", () => {
		const { look, senses } = looked();
		expect(look.sensed).toBeNull();
		expect(senses()).toEqual({ monoMs: 0, commissioned: true, sensed: null, blocked: [] });
	});

	it("is there at rest, where no sample is written", () => {
		const { world, senses } = looked();
		world.set({ levelFrom: 0.4567, supplyVolts: 12.56, commissioned: false });
		world.pass(90);
		const { monoMs, commissioned, sensed, blocked } = senses();
		expect([monoMs, commissioned, blocked]).toEqual([90_000, false, []]);
		expect(world.of("sample")).toEqual([]);
		expect(sensed).toMatchObject({ probe: "dry", tray: "made", stop: "made", flowLph: 0 });
		expect(sensed?.supplyVolts).toBeCloseTo(12.56, 2);
		expect(sensed?.fuelC).toBeCloseTo(15, 0);
		expect(sensed?.levelFrom).toBeCloseTo(0.4567, 2);
	});

	it("is the last tick's while it pumps, in few digits, and words where there is none", () => {
		const { world, look, senses } = polishing(true);
		world.pass(30);
		world.set({ silent: new Set(["case-temperature"]) });
		world.pass(3);
		const { sensed } = senses();
		expect(sensed?.flowLph).toBeCloseTo(95, -1);
		expect(sensed?.caseC).toBe("not-fitted");
		for (const value of Object.values(sensed ?? {})) {
			const text = String(value);
			if (typeof value === "number") expect(text).toMatch(/^-?\d+(\.\d{1,4})?$/);
		}
		expect(look.sensed?.flowLph).toBeCloseTo(95, -1);
	});

	it("is decided just as without a look", () => {
		const plain = new World();
		const { world } = looked();
		for (const one of [plain, world]) {
			one.pass(1);
			one.polish();
			one.pass(60);
			one.set({ probeOhm: 20_000 });
			one.pass(10);
		}
		expect(world.records).toEqual(plain.records);
		expect(world.state).toEqual(plain.state);
	});
});

describe("what stands against an acknowledgement", () => {
	/** What the box's button is told: `code: why`, or the words alone where no trip says them. */
	const refusal = (world: World): readonly string[] => {
		const before = world.of("acknowledge-refused").length;
		world.pressAcknowledge();
		return world.of("acknowledge-refused").slice(before).at(-1)?.reasons ?? [];
	};
	const words = (
		blocked: ReadonlyArray<{ code: string; why: string }>,
		reasons: readonly string[],
	) =>
		blocked.map(({ code, why }, i) =>
			reasons[i]?.startsWith(`${code}: `) ? `${code}: ${why}` : why,
		);

	it.each<[string, boolean, Partial<Facts>, Partial<Facts>, string[]]>([
		["water at the probe", false, { probeOhm: 20_000 }, {}, ["water-in-bowl"]],
		["a stop button that is down", false, { stopPressed: true }, {}, ["stop-button"]],
		["fuel in the tray", false, { trayWet: true }, {}, ["leak"]],
		["two trips at once", false, { trayWet: true, stopPressed: true }, {}, ["stop-button", "leak"]],
		["a sensor that is silent", false, { silent: new Set(["bowl-probe"]) }, {}, ["sensor-fault"]],
		[
			"a pump that ran dry: nothing of the trip, but the return that is out since",
			true,
			{ flowLph: 0, motorAmps: 0.9, pumpingKpa: 2 },
			{ returnOut: true },
			["dry-run"],
		],
		[
			"a plan whose arming has lapsed",
			false,
			{ flowLph: 0, motorAmps: 0.9, pumpingKpa: 2 },
			{ armed: false },
			["dry-run"],
		],
	])("%s", (_, attended, happens, then, tripped) => {
		const { world, senses } = polishing(attended);
		world.set(happens);
		world.passUntil(() => world.name === "tripped", 120);
		world.set(then);
		world.pass(5);
		expect(codes(world)).toEqual(expect.arrayContaining(tripped));
		const { blocked } = senses();
		expect(blocked.length).toBeGreaterThan(0);
		const reasons = refusal(world);
		expect(words(blocked, reasons)).toEqual(reasons.map((reason) => reason.slice(0, 60)));
		expect(blocked[0]?.code).toBe(tripped[0]);
	});

	it("is nothing once it may be given, and it is taken then", () => {
		const { world, senses } = polishing();
		world.set({ stopPressed: true });
		world.passUntil(() => world.name === "tripped", 20);
		expect(senses().blocked).toEqual([
			{ code: "stop-button", why: "the stop button is not released" },
		]);
		world.set({ stopPressed: false });
		world.pass(5);
		expect(senses().blocked).toEqual([]);
		expect(refusal(world)).toEqual([]);
		expect(world.of("acknowledged").length).toBe(1);
	});

	it("is told of the fourth trip too, though the status shows three", () => {
		const { world, senses } = polishing();
		// Three that are gone at once and stand above it, as a log tells of them at boot.
		world.set({ stopPressed: true });
		world.passUntil(() => world.name === "tripped", 20);
		const { context } = world.state.cycle;
		const gone = ["destination-full", "overcurrent", "no-current"] as const;
		const open = gone.map((code) => ({ code, cause: "some cause", atMs: 0, drainSeen: false }));
		const cycle = {
			...world.state.cycle,
			context: { ...context, trips: [...open, ...context.trips] },
		};
		world.state = { ...world.state, cycle };
		expect(senses().blocked).toEqual([
			{ code: "stop-button", why: "the stop button is not released" },
		]);
	});

	it("is three reasons at most, and short ones", () => {
		const { world, senses } = polishing();
		world.set({ flowLph: 0, motorAmps: 0.9, pumpingKpa: 2 });
		world.passUntil(() => world.name === "tripped", 120);
		world.set({ returnOut: true, tubeOut: true, armed: false, silent: new Set(["bowl-probe"]) });
		world.pass(30);
		const { blocked } = senses();
		expect(blocked.length).toBe(3);
		for (const { why } of blocked) expect(why.length).toBeLessThanOrEqual(60);
		expect(refusal(world).length).toBeGreaterThan(3);
	});
});
