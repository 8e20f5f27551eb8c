// Stories of arming and attending: who holds the box's button arms the plan after a set-up check,
// and what ends that; who attends an order says so again from time to time.

import { describe, expect, it } from "vitest";
import { createController } from "../../firmware/controller.ts";
import { codes, exampleRig, pins, polishing, World } from "./world.ts";

const isArmed = (world: World) => world.state.arming !== null;

/** A world in which only the button arms, after some seconds at rest. */
function unarmed(rig = exampleRig()): World {
	const world = new World(rig);
	world.facts.armed = "by-button";
	world.pass(2);
	return world;
}

function armed(rig = exampleRig()): World {
	const world = unarmed(rig);
	world.holdButton();
	return world;
}

describe("who holds the box's button", () => {
	it("arms the plan; the horn chirps once and the log says so", () => {
		const world = armed();
		expect(isArmed(world)).toBe(true);
		expect(world.of("armed").length).toBe(1);
		expect(world.history.filter(({ horn }) => horn).length).toBe(1);
		world.polish();
		world.passUntil(() => world.name === "polishing", 60);
	});

	it.each([0.3, 2.8])("for %s s only does not", (seconds) => {
		const world = unarmed();
		world.facts.buttonPressed = true;
		world.pass(seconds);
		world.facts.buttonPressed = false;
		world.pass(5);
		expect(isArmed(world)).toBe(false);
		expect(world.of("armed")).toEqual([]);
	});

	it("with a finger that slips off in between does not", () => {
		const world = unarmed();
		for (let press = 0; press < 3; press += 1) {
			world.facts.buttonPressed = true;
			world.pass(2);
			world.facts.buttonPressed = false;
			world.pass(0.2);
		}
		expect(isArmed(world)).toBe(false);
	});

	it("arms when it is let go, not before", () => {
		const world = unarmed();
		world.facts.buttonPressed = true;
		world.pass(5);
		expect(isArmed(world)).toBe(false);
		world.facts.buttonPressed = false;
		world.pass(0.3);
		expect(isArmed(world)).toBe(true);
	});

	it("and never lets go, or too late, arms nothing: it is jammed, or its wire shorted", () => {
		const world = unarmed();
		world.facts.buttonPressed = true;
		world.pass(11);
		world.facts.buttonPressed = false;
		world.pass(60);
		expect(isArmed(world)).toBe(false);
		expect(world.of("armed")).toEqual([]);
		world.holdButton();
		expect(isArmed(world)).toBe(true);
	});
});

describe("the set-up check refuses", () => {
	it.each<[string, (world: World) => void, string]>([
		["a wet tray", (w) => w.set({ trayWet: true }), "the tray is not dry"],
		["a return out", (w) => w.set({ returnOut: true }), "the return is not locked into its filler"],
		["a tube off", (w) => w.set({ tubeOut: true }), "the tube's head is not seated"],
		["no supply", (w) => w.set({ supplyVolts: 0 }), "no voltage at the pump"],
		["the stop button", (w) => w.set({ stopPressed: true }), "the stop button is not released"],
		["water", (w) => w.set({ probeOhm: 20_000 }), "the water probe reads wet"],
		["a silent meter", (w) => w.facts.silent.add("flow-pulse"), "unknown: flow-pulse not-fitted"],
		["a silent level", (w) => w.facts.silent.add("level-to"), "unknown: level-to not-fitted"],
		["silent volts", (w) => w.facts.silent.add("supply-volts"), "unknown: supply-volts"],
		["a log that fails", (w) => w.set({ logFailed: true }), "the log has failed"],
		["a rig never commissioned", (w) => w.set({ commissioned: false }), "not commissioned"],
	])("%s, and says why", (_, happens, words) => {
		const world = unarmed();
		happens(world);
		world.pass(25);
		world.holdButton();
		expect(isArmed(world)).toBe(false);
		expect(world.of("armed")).toEqual([]);
		const reasons = world.of("arming-refused").flatMap((refusal) => refusal.reasons);
		expect(reasons.filter((reason) => reason.includes(words))).not.toEqual([]);
	});

	it("while an order is at work", () => {
		const world = armed();
		world.polish();
		world.passUntil(() => world.name === "polishing", 60);
		world.holdButton();
		expect(world.of("arming-refused")[0]?.reasons).toEqual(["the controller is polishing"]);
	});

	it("a rig that lacks a sensor, which it names", () => {
		const world = unarmed(exampleRig((text) => text.replace("    tray,\n", "")));
		world.holdButton();
		expect(world.of("arming-refused")[0]?.reasons).toEqual(["hose-leaks is not covered: fit tray"]);
	});
});

describe("an arming ends", () => {
	const nobodyStarts = (world: World) => {
		world.polish();
		world.pass(2);
		const [refusal] = world.of("order-refused");
		expect(refusal?.reasons).toContain("the plan is not armed at the rig");
	};

	it.each<[string, (world: World) => void, (world: World) => void, string]>([
		[
			"the isolator is opened",
			(world) => world.set({ supplyVolts: 0 }),
			(world) => world.set({ supplyVolts: 12.6 }),
			"the isolator was opened or the supply was away",
		],
		[
			"the return is unlocked",
			(world) => world.set({ returnOut: true }),
			(world) => world.set({ returnOut: false }),
			"the return was unlocked",
		],
		[
			"the tube is taken off",
			(world) => world.set({ tubeOut: true }),
			(world) => world.set({ tubeOut: false }),
			"the tube was taken off",
		],
	])("when %s, and stays ended when it is as before", (_, happens, ends, why) => {
		const world = armed();
		happens(world);
		world.pass(1);
		ends(world);
		world.pass(10);
		expect(isArmed(world)).toBe(false);
		expect(world.of("disarmed").map((record) => record.why)).toEqual([why]);
		nobodyStarts(world);
	});

	it.each<[string, (world: World) => void]>([
		["the supply away for 0.3 s", (world) => world.set({ supplyVolts: 0 })],
		["a bounce of the return's switch", (world) => world.set({ returnOut: true })],
	])("not by %s", (_, happens) => {
		const world = armed();
		happens(world);
		world.pass(0.2);
		world.set({ supplyVolts: 12.6, returnOut: false });
		world.pass(10);
		expect(isArmed(world)).toBe(true);
	});

	it("after 24 h, and not before", () => {
		const world = armed();
		for (let second = 0; second < 86_390; second += 1) world.tick(1_000);
		expect(isArmed(world)).toBe(true);
		for (let second = 0; second < 12; second += 1) world.tick(1_000);
		expect(isArmed(world)).toBe(false);
		expect(world.of("disarmed")[0]?.why).toBe("it was armed 24 h ago");
		nobodyStarts(world);
	});

	it("with the order that it permitted, which ends where it stands", () => {
		const rig = exampleRig((text) =>
			text.replace("setpoints: {}", "setpoints: { armedHoursMax: 1 }"),
		);
		const world = armed(rig);
		world.polish({ litres: 5_000 });
		world.passUntil(() => world.of("run-end").length > 0, 3_700);
		expect(world.of("run-end")[0]?.outcome).toBe("no longer permitted");
		expect(world.pumpDemanded).toBe(false);
		expect(world.nowMs / 3_600_000).toBeCloseTo(1, 2);
	});

	it("with a restart of the controller", () => {
		const world = armed();
		const again = createController(world.rig, pins).boot(world.nowMs + 5_000);
		expect(again.state.arming).toBe(null);
	});
});

describe("an arming is for one tank", () => {
	const finishedOne = () => {
		const world = armed();
		world.polish({ litres: 0.5 });
		world.passUntil(() => world.of("run-end").length > 0, 120);
		return world;
	};

	it("that of the first order: another tank is refused", () => {
		const world = finishedOne();
		world.polish({ tank: "starboard" });
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons).toEqual([
			"the plan is armed for port: set up and arm again for starboard",
		]);
	});

	it("that tank may be ordered again; armed anew, the other one too", () => {
		const world = finishedOne();
		world.polish({ litres: 0.5 });
		world.passUntil(() => world.of("run-end").length === 2, 120);
		world.pass(10);
		world.holdButton();
		world.polish({ tank: "starboard", litres: 0.5 });
		world.passUntil(() => world.of("run-end").length === 3, 120);
		expect(world.of("order-refused")).toEqual([]);
	});

	it("an order that somebody attends does not bind it", () => {
		const world = armed();
		world.polish({ tank: "day", attended: true, litres: 0.5 });
		world.passUntil(() => world.of("run-end").length === 1, 120);
		world.pass(10);
		world.polish({ tank: "starboard" });
		world.passUntil(() => world.name === "polishing", 60);
	});
});

describe("a long press at a trip", () => {
	it("arms and acknowledges in one go, and the order goes on", () => {
		const world = armed();
		world.polish();
		world.passUntil(() => world.name === "polishing", 60);
		world.set({ flowLph: 0 });
		world.passUntil(() => world.name === "tripped", 10);
		// Whoever clears the tube takes it off, which ends the arming.
		world.set({ tubeOut: true });
		world.pass(10);
		world.set({ tubeOut: false, flowLph: 95 });
		world.pass(5);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
		expect(world.of("acknowledge-refused").at(-1)?.reasons).toEqual([
			"the plan is not armed at the rig",
		]);
		world.holdButton();
		expect(world.of("armed").length).toBe(2);
		world.passUntil(() => world.name === "polishing", 60);
		expect(codes(world)).toEqual(["dry-run"]);
	});

	it("does neither while its cause is there", () => {
		const world = armed();
		world.polish();
		world.passUntil(() => world.name === "polishing", 60);
		world.set({ trayWet: true });
		world.pass(1);
		world.holdButton();
		expect(world.name).toBe("tripped");
		expect(world.of("armed").length).toBe(1);
	});
});

describe("who attends an order", () => {
	const attended = () => {
		const world = unarmed();
		world.polish({ attended: true, litres: 5_000 });
		world.passUntil(() => world.name === "polishing", 60);
		return world;
	};
	/** Seconds since the order at which the horn sounded, whole. */
	const chirps = (world: World) =>
		world.history.flatMap(({ horn }, tick) => (horn ? [Math.floor(tick / 10)] : []));

	it("is asked by the horn a minute before, and gone when nobody presses the button", () => {
		const world = attended();
		const orderedMs = world.of("run-begin")[0]?.monoMs ?? 0;
		world.history.length = 0;
		const from = world.nowMs;
		world.passUntil(() => world.of("run-end").length > 0, 1_000);
		expect((world.nowMs - orderedMs) / 60_000).toBeCloseTo(15, 1);
		expect(world.pumpDemanded).toBe(false);
		const [end] = world.of("run-end");
		expect(end?.outcome).toBe("no longer permitted");
		expect(end?.reasons).toEqual(["nobody pressed the box's button for 15 min"]);
		const asked = chirps(world);
		expect(asked.length).toBeGreaterThanOrEqual(11);
		expect(asked.length).toBeLessThanOrEqual(13);
		const untilEndS = (world.nowMs - from) / 1000;
		expect(Math.min(...asked)).toBeGreaterThanOrEqual(untilEndS - 61);
	});

	it("keeps it going by a press, which is no acknowledgement and no complaint", () => {
		const world = attended();
		for (let quarter = 0; quarter < 4; quarter += 1) {
			world.pass(14.5 * 60);
			world.pressAcknowledge();
			world.pass(1);
			world.history.length = 0;
			world.pass(10);
			expect(world.history.some(({ horn }) => horn && world.name === "polishing")).toBe(false);
		}
		expect(world.of("run-end")).toEqual([]);
		expect(world.of("acknowledge-refused")).toEqual([]);
	});

	it("need not be there for an order that nobody attends", () => {
		const world = polishing();
		world.history.length = 0;
		world.pass(20 * 60);
		expect(world.name).toBe("polishing");
		expect(chirps(world)).toEqual([]);
	});
});
