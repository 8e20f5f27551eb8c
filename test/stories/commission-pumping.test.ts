// Commissioning with the pump: prime, current, element, siphon; K2 by the beat and by hand; trips
// by hand; fills of the can. The person orders each run over the link, attended, as ever.

import { describe, expect, it } from "vitest";
import type { Step } from "../../firmware/commission/step-rows.ts";
import { Prover } from "./prover.ts";
import { codes, exampleRig, type Facts } from "./world.ts";

/** A run under way in that step. */
function running(step: Step, litres = 5, world = new Prover()): Prover {
	world.start(step);
	expect(world.now?.asks).toBe("order");
	world.pumpForStep(litres);
	return world;
}

describe("a watched run", () => {
	it("primes: how long it took, and what the motor drew", () => {
		const world = new Prover();
		world.start("prime");
		world.set({ flowLph: 0, motorAmps: 1.1 });
		world.polish({ litres: 2, attended: true });
		world.passUntil(() => world.state.motorOn, 60);
		world.pass(6);
		world.set({ flowLph: 95, motorAmps: 1.7 });
		world.passUntil(() => world.now === null, 60);
		expect(world.last).toMatchObject({ step: "prime", passed: true });
		const { primeSeconds, tries, airAmps, loadAmps } = world.last?.values ?? {};
		expect(primeSeconds).toBeGreaterThan(8.5);
		expect(primeSeconds).toBeLessThan(11);
		expect({ tries, airAmps, loadAmps }).toEqual({ tries: 1, airAmps: 1.1, loadAmps: 1.7 });
	});

	it("does not prime when fuel comes at the second try only", () => {
		const world = new Prover();
		world.start("prime");
		world.set({ flowLph: 0 });
		world.polish({ litres: 2, attended: true });
		world.passUntil(() => world.of("prime").length > 0, 120);
		world.set({ flowLph: 95 });
		world.passUntil(() => world.now === null, 120);
		expect(world.last).toMatchObject({ step: "prime", passed: false });
		expect(world.last?.reasons.join()).toContain("2 tries");
	});

	it("does not prime with a motor that draws too much", () => {
		const world = new Prover();
		world.set({ motorAmps: world.rig.pump.runningAmps * 1.65 });
		running("prime", 5, world);
		world.passUntil(() => world.now === null, 60);
		expect(world.last?.passed).toBe(true);
		const less = new Prover();
		less.set({ motorAmps: less.rig.pump.runningAmps * 3 });
		less.start("prime");
		less.polish({ litres: 5, attended: true });
		less.passUntil(() => less.now === null, 60);
		expect(less.last).toMatchObject({ passed: false });
		expect(less.last?.reasons.join()).toContain("overcurrent");
	});

	it.each([
		[1.78, true],
		[2.1, false],
	])("the clamp at %f A", (clampAmps, passed) => {
		const world = running("amps");
		world.passUntil(() => world.now?.asks === "answer", 30);
		world.answer({ clampAmps });
		expect(world.last).toMatchObject({ step: "amps", passed });
		expect(world.last?.values).toMatchObject({ motorAmps: 1.7, clampAmps });
	});

	it("the element against the rig file", () => {
		const world = running("element", 8);
		world.passUntil(() => world.now === null, 400);
		const { cleanKpa } = world.last?.values ?? {};
		expect(typeof cleanKpa).toBe("number");
		const told = (kpa: number) =>
			exampleRig((text) => text.replace(/cleanKpa: .*/, `cleanKpa: ${kpa}`));
		const right = running("element", 8, new Prover(told(Number(cleanKpa))));
		right.passUntil(() => right.now === null, 400);
		expect(right.last).toMatchObject({ step: "element", passed: true });
		const wrong = running("element", 8, new Prover(told(Number(cleanKpa) * 1.6)));
		wrong.passUntil(() => wrong.now === null, 400);
		expect(wrong.last).toMatchObject({ passed: false });
		expect(wrong.last?.reasons.join()).toContain("rig file: element.cleanKpa: ");
		const short = running("element", 1);
		short.passUntil(() => short.now === null, 200);
		expect(short.last?.reasons.join()).toContain("too short");
	});

	it.each([
		["a dry cup", 0, 4, true, ""],
		["a cup that fills", 0, 40, false, "40 mL"],
		["a meter that turns", 2, 0, false, "the meter turned"],
	] as const)("siphon: %s", (_, extra, cupMl, passed, why) => {
		const world = running("siphon", 1);
		world.passUntil(() => world.name === "idle", 120);
		expect(world.now?.asks).toBe("wait");
		world.pass(30);
		if (extra > 0) world.siphon(extra);
		world.pass(120);
		if (extra === 0) {
			expect(world.now?.asks).toBe("answer");
			world.answer({ cupMl });
		}
		expect(world.last).toMatchObject({ step: "siphon", passed });
		expect(world.last?.reasons.join()).toContain(why);
	});

	it("an order that nobody attends, or of other work, proves nothing", () => {
		const world = new Prover();
		world.start("prime");
		world.transfer({ attended: true, litres: 5 });
		world.passUntil(() => world.now === null, 5);
		expect(world.last).toMatchObject({ passed: false, endedBy: "order" });
		expect(world.due("prime")).toBe("never passed");
	});
});

describe("K2 by the beat", () => {
	const held = (world: Prover) => {
		const tail = world.history.slice(-2).map((outputs) => outputs["dead-man-beat"]);
		return world.pumpDemanded && tail[0] === tail[1];
	};

	it("lets go in time: the release is the evidence, and the run ends as without current", () => {
		const world = running("dead-man");
		world.passUntil(() => held(world), 20);
		world.passUntil(() => world.now === null, 5);
		expect(world.last).toMatchObject({ step: "dead-man", passed: true, reasons: [] });
		const { releaseMs } = world.last?.values ?? {};
		expect(releaseMs).toBeGreaterThanOrEqual(900);
		expect(releaseMs).toBeLessThanOrEqual(1_200);
		world.pass(1);
		expect(codes(world)).toEqual(["no-current"]);
		expect(world.pumpDemanded).toBe(false);
		world.pressAcknowledge();
		world.passUntil(() => world.name === "polishing", 60);
		expect(held(world)).toBe(false);
	});

	it("lets go too late: not passed", () => {
		const world = running("dead-man");
		world.set({ releaseMs: 1_800 });
		world.passUntil(() => world.now === null, 20);
		expect(world.last).toMatchObject({ passed: false });
		expect(world.last?.reasons.join()).toContain("over 1700 ms");
	});

	it("is welded: it trips as a contact that is stuck, and stays due", () => {
		const world = running("dead-man");
		world.set({ releaseMs: Number.POSITIVE_INFINITY });
		world.passUntil(() => world.now === null, 20);
		expect(world.last).toMatchObject({ passed: false });
		world.pass(0.2);
		expect(codes(world)).toEqual(["relay-stuck"]);
		expect(world.of("trip")[0]?.cause).toContain("K2 did not let go");
		expect(world.pumpDemanded).toBe(false);
		expect(world.due("dead-man")).toBe("never passed");
	});

	it("says nothing where the current is unknown", () => {
		const world = running("dead-man");
		world.passUntil(() => held(world), 20);
		world.set({ silent: new Set(["motor-current"]) });
		world.passUntil(() => world.now === null, 20);
		expect(world.last?.passed).toBe(false);
		world.pass(1);
		expect(world.pumpDemanded).toBe(false);
	});

	it("is given up in the middle: the run ends too, and no beat comes back within it", () => {
		const world = running("dead-man");
		world.set({ releaseMs: Number.POSITIVE_INFINITY });
		world.passUntil(() => held(world), 20);
		world.end();
		world.pass(0.5);
		expect(world.pumpDemanded).toBe(false);
		expect(world.of("run-end").at(-1)?.outcome).toBe("stopped");
	});
});

function secondsUntil(world: Prover, isSo: () => boolean): number {
	const fromMs = world.nowMs;
	world.passUntil(isSo, 120);
	return (world.nowMs - fromMs) / 1000;
}

describe("K2 by the beat in a run that is held meanwhile", () => {
	const held = (world: Prover) => world.state.commission.holdsBeat;

	it("fails, and no old edge is timed when the run goes on", () => {
		// How long fuel that is too cold takes to hold a run, and the step to hold the beat.
		const cold = new Prover();
		cold.pumpForStep();
		cold.set({ fuelC: 1 });
		const coldS = secondsUntil(cold, () => cold.name !== "polishing");
		const first = new Prover();
		first.start("dead-man");
		first.polish({ litres: 5, attended: true });
		const heldS = secondsUntil(first, () => held(first));
		const world = new Prover();
		world.set({ releaseMs: Number.POSITIVE_INFINITY });
		world.start("dead-man");
		world.polish({ litres: 5, attended: true });
		world.pass(heldS - coldS + 0.6);
		world.set({ fuelC: 1 });
		world.passUntil(() => world.now === null, 40);
		expect(world.last).toMatchObject({ passed: false, reasons: ["the run was held meanwhile"] });
		world.set({ fuelC: 15 });
		world.pass(120);
		expect(world.of("trip")).toEqual([]);
	});
});

describe("a watched run that trips", () => {
	it.each(["prime", "amps", "element", "siphon", "dead-man", "stop-cuts", "meter"] as const)(
		"ends %s at once, and not with its order",
		(step) => {
			const world = running(step, 20);
			world.set({ supplyVolts: 8 });
			world.passUntil(() => world.name === "tripped", 120);
			world.pass(0.2);
			expect(world.state.cycle.context.order).not.toBeNull();
			expect(world.now).toBeNull();
			expect(world.last).toMatchObject({ step, passed: false, counts: step !== "meter" });
			expect(world.last?.reasons.join()).toContain("tripped: ");
		},
	);

	it("does not take the clamp's reading for nothing when it had been taken", () => {
		const world = running("amps", 20);
		world.passUntil(() => world.now?.asks === "answer", 30);
		world.set({ trayWet: true });
		world.pass(5);
		world.answer({ clampAmps: 1.7 });
		expect(world.last).toMatchObject({ step: "amps", passed: true });
	});
});

describe("a stop that cuts without the computer", () => {
	it("passes where the current ends and the loop reads made", () => {
		const world = running("stop-cuts");
		world.passUntil(() => world.now?.asks === "act", 20);
		world.set({ k2Open: true });
		world.passUntil(() => world.now === null, 5);
		expect(world.last).toMatchObject({ step: "stop-cuts", passed: true });
		world.set({ k2Open: false });
		world.pass(1);
		expect(codes(world)).toEqual(["no-current"]);
	});

	it("finds a button whose pole is not in K2's loop: the pump goes on", () => {
		const world = running("stop-cuts", 30);
		world.passUntil(() => world.now?.asks === "act", 20);
		world.pass(16 * 60);
		expect(world.last).toMatchObject({ step: "stop-cuts", passed: false });
		expect(world.due("stop-cuts")).toBe("never passed");
	});

	it.each([
		["stop-cuts", { stopPressed: true, k2Open: true }],
		["return-cuts", { returnOut: true, k2Open: true }],
	] as const)("%s: without the test plug it proves nothing", (step, facts: Partial<Facts>) => {
		const world = running(step);
		world.passUntil(() => world.now?.asks === "act", 20);
		world.set(facts);
		world.passUntil(() => world.now === null, 5);
		expect(world.last?.passed).toBe(false);
		expect(world.last?.reasons.join()).toContain("put the test plug in");
	});
});

describe("a trip by hand", () => {
	it.each([
		["trip-water", { probeOhm: 20_000 }, "water-in-bowl"],
		["trip-leak", { trayWet: true }, "leak"],
		["trip-return", { returnOut: true }, "return-out"],
		["trip-tube", { tubeOut: true }, "tube-out"],
		["trip-stop", { stopPressed: true }, "stop-button"],
		["trip-dry", { flowLph: 0, motorAmps: 1.1, pumpingKpa: 2 }, "dry-run"],
	] as const)("%s", (step, facts: Partial<Facts>, code) => {
		const world = running(step, 20);
		world.pass(5);
		expect(world.now?.asks).toBe("act");
		world.set(facts);
		world.passUntil(() => world.now === null, 60);
		expect(world.last).toMatchObject({ step, passed: true, values: { trip: code } });
		expect(codes(world)).toEqual([code]);
	});

	it("the board's cable: the current is looked at once the board is back", () => {
		const world = running("trip-board", 20);
		world.pass(5);
		world.set({ ageMs: 60_000 });
		world.pass(10);
		expect(codes(world)[0]).toBe("board-lost");
		expect(world.now).not.toBeNull();
		world.set({ ageMs: 0 });
		world.passUntil(() => world.now === null, 5);
		expect(world.last).toMatchObject({ step: "trip-board", passed: true });
	});

	it("a trip before the pump turns shows nothing of how it stops", () => {
		const world = new Prover();
		world.start("trip-stop");
		world.polish({ litres: 20, attended: true });
		world.pass(2);
		world.set({ stopPressed: true });
		world.passUntil(() => world.now === null, 5);
		expect(codes(world)).toEqual(["stop-button"]);
		expect(world.last).toMatchObject({ step: "trip-stop", passed: false });
		expect(world.last?.reasons.join()).toContain("while the pump moved no fuel");
	});

	it("another trip is not the one", () => {
		const world = running("trip-leak", 20);
		world.set({ stopPressed: true });
		world.passUntil(() => world.now === null, 5);
		expect(world.last).toMatchObject({ passed: false });
		expect(world.last?.reasons.join()).toContain("leak did not come: tripped: stop-button");
	});

	it("a sensor that is bypassed fails when the run is over", () => {
		const world = running("trip-tube", 3);
		world.passUntil(() => world.now === null, 200);
		expect(world.last?.reasons.join()).toContain("tube-out did not come");
	});

	it("a current that goes on after the trip fails", () => {
		const world = running("trip-stop", 20);
		world.set({ stopPressed: true, strayAmps: 1.7 });
		world.passUntil(() => world.now === null, 10);
		expect(world.last?.reasons.join()).toContain("still 1.7 A");
	});
});
