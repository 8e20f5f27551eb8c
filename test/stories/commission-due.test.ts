// What is due, and what an unattended order makes of it: never passed, changed by words or by the
// rig file, failed again, too old, time unknown; what a restart finds of it.

import { describe, expect, it } from "vitest";
import { planProving, stepsOf } from "../../firmware/commission/plan.ts";
import { type Step, stepRows } from "../../firmware/commission/step-rows.ts";
import { createController } from "../../firmware/controller.ts";
import { DAY_MS, dateTimeMs, dateTimeText } from "../../firmware/local-time.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { Prover } from "./prover.ts";
import { exampleRig, pins } from "./world.ts";

const rig = exampleRig();
const AT = "2026-11-29T09:00";
const marks = (own = rig) => planProving(own, pins).marks;

function proofs(localTime: string | null = AT, without: Step | null = null): LogRecord[] {
	return stepsOf(rig).flatMap((step, i): LogRecord[] => {
		const id = `p-${step}`;
		const proof = { id, step, passed: true, reasons: [], values: {}, by: "JM", localTime };
		const body = { ...proof, marks: marks()[i] ?? "", counts: true, endedBy: null };
		const head = { seq: i + 1, boot: 1, monoMs: i };
		return step === without ? [] : [{ ...head, kind: "proof", ...body }];
	});
}

/** A rig that has this log. */
function proven(log: readonly LogRecord[] = proofs(), own = rig): Prover {
	const world = new Prover(own);
	const booted = createController(own, pins).boot(0, recover(log, own));
	world.state = booted.state;
	world.nowMs = 0;
	world.records.splice(0, world.records.length, ...log, ...booted.records);
	world.set({ armed: true });
	world.setClock("2026-11-29T10:00");
	world.pass(1);
	return world;
}

/** What stands against leaving it alone. */
function refusal(world: Prover): string {
	const before = world.of("order-refused").length;
	world.polish({ litres: 5, attended: false });
	world.pass(0.3);
	return world.of("order-refused")[before]?.reasons.join("; ") ?? "";
}

describe("a rig of which all is proven", () => {
	it("may be left alone", () => {
		const world = proven();
		expect(world.state.commission.isProven).toBe(true);
		expect(refusal(world)).toBe("");
		expect(world.of("run-begin").length).toBe(1);
	});

	it.each(stepsOf(rig))("may not without %s", (step) => {
		const world = proven(proofs(AT, step));
		expect(world.due(step)).toBe("never passed");
		expect(refusal(world)).toContain("the rig is not commissioned");
		world.polish({ litres: 5, attended: true });
		world.pass(0.3);
		expect(world.of("run-begin").length).toBe(1);
	});

	it("may not until the time is known: nobody knows how old it is", () => {
		const world = proven();
		world.state = { ...world.state, schedule: { ...world.state.schedule, clock: null } };
		world.pass(61);
		expect(world.due("dead-man")).toBe("the time is unknown");
		expect(world.due("lamps")).toBeNull();
		expect(refusal(world)).toContain("not commissioned");
	});
});

describe("age", () => {
	const oldBy = (days: number) =>
		proofs(dateTimeText(dateTimeMs("2026-11-29T10:00") - days * DAY_MS));

	it("ends what has days after them, and an unattended run with it", () => {
		const world = proven(oldBy(29.9));
		expect(world.due("dead-man")).toBeNull();
		expect(refusal(world)).toBe("");
		world.passUntil(() => world.name === "polishing", 60);
		world.setClock("2026-11-29T12:30");
		world.pass(0.3);
		expect(world.due("dead-man")).toBe("its 30 days are over");
		expect(world.due("supply")).toBeNull();
		world.pass(1);
		expect(world.of("run-end")[0]).toMatchObject({
			outcome: "no longer permitted",
			reasons: ["the rig is not commissioned"],
		});
	});

	it("is looked at by itself, within a minute", () => {
		const world = proven(proofs("2026-10-30T10:02"));
		expect(world.state.commission.isProven).toBe(true);
		world.pass(180);
		expect(world.state.commission.isProven).toBe(false);
	});

	it.each([
		["a clock that was set back by a year", proofs("2027-11-29T09:00"), "the clock stands before"],
		["a proof whose date nobody knew", proofs(null), "nobody knows when"],
	] as const)("is not known with %s", (_, log, words) => {
		expect(proven(log).due("dead-man")).toContain(words);
	});
});

describe("a change", () => {
	it("of a part makes its steps due, also over a restart; proven again they are not", () => {
		const world = proven();
		world.change("tray");
		expect(world.due("tray")).toContain("changed: the sensor in the tray");
		expect(world.due("trip-leak")).toContain("changed");
		expect(world.due("lamps")).toBeNull();
		expect(refusal(world)).toContain("not commissioned");
		world.change("tray");
		expect(world.refused).toContain("due already");
		const again = proven(world.records);
		expect(again.due("tray")).toContain("changed");
		again.start("tray");
		again.pass(3);
		again.set({ trayWet: true });
		again.pass(3);
		again.set({ trayWet: false });
		again.pass(9);
		again.pressAcknowledge();
		expect(again.due("tray")).toBeNull();
		expect(again.state.commission.isProven).toBe(false);
		expect(again.due("trip-leak")).toContain("changed");
	});

	it("in the rig file is seen without a word", () => {
		const other = exampleRig((text) => text.replace(/ratingMicron: .*/, "ratingMicron: 30"));
		expect(other.element.ratingMicron).not.toBe(rig.element.ratingMicron);
		const world = proven(proofs(), other);
		expect(world.due("element")).toContain("another one");
		expect(world.due("trip-water")).toContain("another one");
		expect(world.due("lamps")).toBeNull();
		expect(refusal(world)).toContain("not commissioned");
	});

	it("of the meter's figure makes its step due alone", () => {
		const other = exampleRig((text) =>
			text.replace(/pulsesPerLitre: [\d.]+/, "pulsesPerLitre: 433"),
		);
		const world = proven(proofs(), other);
		expect(world.due("meter")).toContain("another one");
		expect(world.due("trip-dry")).toBeNull();
	});

	it("in the pin map is seen too", () => {
		const tray = pins.channels.tray;
		if (tray === undefined) throw new Error("no tray");
		const map = { ...pins, channels: { ...pins.channels, tray: { ...tray, does: "something" } } };
		const [before, after] = [marks(), planProving(rig, map).marks];
		const changed = stepsOf(rig).filter((_, i) => before[i] !== after[i]);
		expect(changed).toEqual(
			stepsOf(rig).filter((step) => stepRows[step].parts.includes("tray" as never)),
		);
	});
});

describe("a step that is given up", () => {
	const stuck = "it did not pass the last time";

	it("before anything could be seen leaves the older proof as it was", () => {
		const world = proven();
		for (const step of ["stop-loop", "horn", "dead-man"] as const) {
			world.begin(step);
			world.end();
		}
		world.start("stop-cuts");
		expect(world.now?.asks).toBe("order");
		world.end();
		world.start("lamps");
		world.end();
		expect(world.of("proof").filter(({ endedBy, counts }) => endedBy !== null && counts)).toEqual(
			[],
		);
		expect(world.state.commission.isProven).toBe(true);
	});

	it.each(["stop-loop", "return-loop", "probe"] as const)("at the look %s has failed", (step) => {
		const world = proven();
		world.start(step);
		world.end();
		expect(world.last).toMatchObject({ passed: false, counts: true });
		expect(world.due(step)).toBe(stuck);
	});

	it.each([
		["lamps", "answer"],
		["horn", "answer"],
		["button", "press"],
	] as const)("when %s has shown itself, it has failed", (step, asks) => {
		const world = proven();
		world.start(step);
		world.passUntil(() => world.now?.asks === asks, 40);
		world.end();
		expect(world.due(step)).toBe(stuck);
		expect(world.state.commission.isProven).toBe(false);
	});

	it("while it is measured has failed", () => {
		const world = proven();
		world.start("vacuum-zero");
		world.answer({ airHpa: 1_013 });
		world.end();
		expect(world.due("vacuum-zero")).toBe(stuck);
	});

	it.each([
		["stop-cuts", "act", "end"],
		["stop-cuts", "act", "stop"],
		["trip-tube", "act", "end"],
		["trip-water", "act", "stop"],
		["prime", "wait", "end"],
		["amps", "answer", "end"],
		["element", "wait", "stop"],
	] as const)("in a run, %s at %s by %s, has failed, and after a restart too", (step, asks, by) => {
		const world = proven();
		world.start(step);
		world.pumpForStep(step === "prime" ? 5 : 30);
		world.passUntil(() => world.now?.asks === asks, 30);
		if (by === "end") world.end();
		else world.stop();
		world.passUntil(() => world.now === null, 16 * 60);
		expect(world.last).toMatchObject({ step, passed: false, counts: true });
		expect(world.last?.endedBy).not.toBeNull();
		expect(world.last?.reasons.join()).toContain("counts as failed");
		world.stop();
		world.pass(1);
		expect(refusal(world)).toContain("not commissioned");
		expect(proven(world.records).due(step)).toBe(stuck);
	});

	it("while the beat stands still has failed", () => {
		const world = proven();
		world.set({ releaseMs: Number.POSITIVE_INFINITY });
		world.start("dead-man");
		world.pumpForStep();
		world.passUntil(() => world.state.commission.holdsBeat, 20);
		world.end();
		expect(world.due("dead-man")).toBe(stuck);
	});

	it("between two fills leaves the factor as it was", () => {
		const world = proven();
		world.start("meter");
		world.pumpForStep(5);
		world.end();
		expect(world.last).toMatchObject({ step: "meter", passed: false, counts: false });
		expect(world.due("meter")).toBeNull();
	});
});

describe("a step that fails when it is done again", () => {
	it("is due, what was given up is not", () => {
		const world = proven();
		world.start("vacuum-zero");
		world.end();
		expect(world.due("vacuum-zero")).toBeNull();
		world.set({ restKpa: 4 });
		world.pass(5);
		world.start("vacuum-zero");
		world.answer({ airHpa: 1_013 });
		world.pass(12);
		expect(world.due("vacuum-zero")).toBe("it did not pass the last time");
		expect(proven(world.records).due("vacuum-zero")).toBe("it did not pass the last time");
		world.set({ restKpa: 0 });
		world.pass(5);
		world.start("vacuum-zero");
		world.answer({ airHpa: 1_013 });
		world.pass(12);
		expect(world.due("vacuum-zero")).toBeNull();
	});
});

describe("a restart in the middle of a step", () => {
	it("has proven nothing by it, and keeps what had passed", () => {
		const world = new Prover();
		world.start("supply");
		world.answer({ meterVolts: 12.6 });
		world.pass(12);
		world.start("lamps");
		const next = world.restarted();
		expect(next.now).toBeNull();
		expect(next.due("supply")).toBeNull();
		expect(next.due("lamps")).toBe("never passed");
		next.begin("lamps");
		expect(next.now?.step).toBe("lamps");
	});

	it.each(["stop-loop", "stop-cuts"] as const)(
		"has failed in %s: who throws the isolator?",
		(step) => {
			const world = proven();
			world.start(step);
			const next = proven(world.records);
			expect(next.due(step)).toBe("it did not pass the last time");
			expect(next.last).toMatchObject({ step, passed: false, counts: true, endedBy: "restart" });
			expect(refusal(next)).toContain("not commissioned");
			// Told once: the boot after it finds nothing under way.
			expect(proven(next.records).of("proof").length).toBe(next.of("proof").length);
		},
	);

	it.each(["meter", "identity"] as const)("leaves what %s has proven", (step) => {
		const world = proven();
		world.begin(step);
		const next = proven(world.records);
		expect(next.last).toMatchObject({ step, counts: false, endedBy: "restart" });
		expect(next.due(step)).toBeNull();
	});

	it("with a log that is lost proves nothing", () => {
		const booted = createController(rig, pins).boot(0, recover([], rig, { lost: "gone" }));
		expect(booted.state.commission.isProven).toBe(false);
	});
});
