// A run decided again: by the same logic it comes out the same, by another one the first tick that
// differs is told with what differed and the readings around it, and a state of another shape is
// refused in words.

import { describe, expect, it } from "vitest";
import { createController, STAGES } from "../../firmware/controller.ts";
import { digestOf, type Sample } from "../../firmware/log/digest.ts";
import { decodeRun, encodeRun } from "../../firmware/log/kept-run.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { Tape } from "../../firmware/log/tape.ts";
import type { ExactAnswer } from "../../host/replay/answer.ts";
import { decideAgain, type MakeController, Misfit } from "../../host/replay/decide-again.ts";
import { bootStretches, windowStretch } from "../../host/replay/recorded-ticks.ts";
import { exactAccount } from "../../host/report/replay-account.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { keptRunOf } from "../../sim/bench/recorded-run.ts";
import type { RecordedTicks } from "../../sim/bench/replay.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { pins, root } from "./world.ts";

const LOGIC = { version: "1.2.3", hash: "invented" };

function recorded(name: string, controller?: Parameters<typeof runScenario>[3]) {
	const { scenario, rig } = loadScenario(findScenario(root, name));
	const run = decodeRun(
		encodeRun(keptRunOf(name, runScenario(scenario, rig, pins, controller), pins, LOGIC)),
	);
	return { rig, stretches: bootStretches(run, rig, name) };
}
const { rig, stretches } = recorded("water-under-the-tube");
const parts = { rig, pins };

/** Today's controller with one stage changed. */
const changed =
	(change: Partial<typeof STAGES>): MakeController =>
	(own, map, stages = STAGES) =>
		createController(own, map, { ...stages, ...change });

const answerOf = (again: ReturnType<typeof decideAgain>): ExactAnswer => ({
	...{ kind: "exact", run: "r", recordedBy: LOGIC, replayedBy: LOGIC, set: {}, wallSeconds: 1 },
	...{ ticks: again.ticks, simulatedSeconds: 60, account: [], lacksSamples: again.lacksSamples },
	...{ isIdentical: again.difference === null, difference: again.difference },
	...{ rigFile: null, span: null, hungAt: again.hungAt },
});
const textOf = (again: ReturnType<typeof decideAgain>): string =>
	exactAccount(answerOf(again), [])
		.map(({ text }) => text)
		.join("\n");

describe("the same logic", () => {
	it("decides the same, and tells what it decided", () => {
		const again = decideAgain(stretches, parts);
		expect(again.difference).toBeNull();
		expect(again.ticks).toBe(stretches[0]?.tape.length);
		expect(again.records.filter(({ kind }) => kind === "trip")).toMatchObject([
			{ code: "water-in-bowl" },
		]);
		expect(textOf(again)).toContain(`IDENTICAL: all ${again.ticks} ticks decide the same.`);
	});
});

describe("another logic", () => {
	it("of the interlock is found at the tick where it lets the pump go", () => {
		const again = decideAgain(stretches, parts, changed({ interlock: never }));
		expect(again.difference?.outputs).toContainEqual({
			...{ output: "pump-demand", was: true, now: false },
		});
		expect(again.difference?.boot).toBe(1);
	});

	it("that trips later is told with the records that are missing, and the readings", () => {
		const later = { ...rig, setpoints: { ...rig.setpoints, waterDelayMs: 400 } };
		const again = decideAgain(stretches, { rig: later, pins });
		const { difference } = again;
		expect(difference?.records.map(({ was, now }) => [was, now])).toEqual([
			["trip", null],
			["state", null],
		]);
		expect(difference?.outputs.map(({ output }) => output)).toContain("pump-demand");
		const at = difference?.atSeconds ?? 0;
		const shown = difference?.readings.map(({ atSeconds }) => atSeconds - at) ?? [];
		expect(Math.min(...shown)).toBeCloseTo(-2, 6);
		expect(Math.max(...shown)).toBeCloseTo(1, 6);
		const text = textOf(again);
		expect(text).toMatch(/DIFFERENT at 0:00:\d\d\.\d after boot 1 began, tick \d+ of its stretch:/);
		expect(text).toContain("output pump-demand    then off, now on");
		expect(text).toContain("record: then trip, now none (water-in-bowl;");
		expect(text).toMatch(/ {4}s {2}flow L\/h {2}vacuum kPa .*probe/);
		expect(text).toMatch(/-0\.3 .*(dry|wet)/);
		expect(Math.max(...text.split("\n").map((line) => line.length))).toBeLessThanOrEqual(80);
		// Later by the 100 ms that it was told to wait, and no more.
		const trip = again.records.find(({ kind }) => kind === "trip");
		expect(trip?.monoMs).toBe(at * 1000 + 100);
	});

	it("that writes another number is told field by field", () => {
		const heavy = { ...rig, meter: { ...rig.meter, pulsesPerLitre: 2 * rig.meter.pulsesPerLitre } };
		const { difference } = decideAgain(stretches, { rig: heavy, pins });
		expect(difference).toMatchObject({ tick: -1, atSeconds: 0, outputs: [] });
		expect(difference?.records).toMatchObject([
			{
				...{ was: "boot", now: "boot" },
				fields: [
					{ field: "meter.pulsesPerLitre", was: rig.meter.pulsesPerLitre },
					{ field: "meter.uncertainty" },
				],
			},
		]);
	});

	it("that hangs is told as that, and one that hung then too", () => {
		let calls = 0;
		const wedged = () =>
			changed({
				advance: (...args) => {
					calls += 1;
					if (calls === 100) throw new Error("wedged");
					return STAGES.advance(...args);
				},
			});
		const again = decideAgain(stretches, parts, wedged());
		expect(again.difference).toMatchObject({ hung: "now" });
		expect(textOf(again)).toContain("now it hangs in this tick");
		const tick = again.difference?.tick ?? 0;
		expect(again.ticks).toBe(tick + 1);
		expect(again.hungAt).toEqual({ boot: 1, atSeconds: again.difference?.atSeconds });
		expect(textOf(again)).toContain("today's logic hangs: the ticks after that were");
		calls = 0;
		const hung = recorded("water-under-the-tube", { controller: wedged()(rig, pins) });
		expect(decideAgain(hung.stretches, parts).difference).toMatchObject({ hung: "was" });
		calls = 0;
		expect(decideAgain(hung.stretches, parts, wedged()).difference).toBeNull();
	});
});

it("hangs after its first difference: that nothing came after is told", () => {
	const later = { ...rig, setpoints: { ...rig.setpoints, waterDelayMs: 400 } };
	const { difference } = decideAgain(stretches, { rig: later, pins });
	const hangsMs = (difference?.atSeconds ?? 0) * 1000 + 500;
	const wedged = changed({
		advance: (chart, before, events, nowMs) => {
			if (nowMs >= hangsMs) throw new Error("wedged");
			return STAGES.advance(chart, before, events, nowMs);
		},
	});
	const again = decideAgain(stretches, { rig: later, pins }, wedged);
	expect(again.difference?.hung).toBeNull();
	expect(again.hungAt).toEqual({ boot: 1, atSeconds: hangsMs / 1000 });
	expect(textOf(again)).toContain("today's logic hangs: the ticks after that");
});

describe("what was written", () => {
	const withRecords = (change: (records: RecordedTicks["records"]) => RecordedTicks["records"]) =>
		stretches.map((stretch) => ({ ...stretch, records: change(stretch.records) }));

	it("and is missing, or more, is a difference", () => {
		const less = withRecords((records) => records.slice(0, -1));
		expect(decideAgain(less, parts).difference?.records).toHaveLength(1);
		const more = withRecords((records) => [
			...records,
			{ ...{ seq: 999, boot: 1, monoMs: 9e6 }, kind: "drain-seen" },
		]);
		expect(decideAgain(more, parts).difference?.records).toMatchObject([
			{ was: "drain-seen", now: null },
		]);
	});

	/** The longest row of samples as one digest in their place. */
	function thinned(records: RecordedTicks["records"]): RecordedTicks["records"] {
		const rows: Sample[][] = [];
		for (const record of records) {
			if (record.kind !== "sample") continue;
			const row = rows.at(-1);
			if (row?.at(-1)?.seq === record.seq - 1) row.push(record);
			else rows.push([record]);
		}
		const [longest = []] = rows.sort((a, b) => b.length - a.length);
		const lost = new Set<number>(longest.map(({ seq }) => seq));
		const digest = digestOf(longest, "", "");
		return records.flatMap((record) =>
			lost.has(record.seq) ? (record.seq === digest.seq ? [digest] : []) : [record],
		);
	}

	it("may lack samples that a digest stands for, and nothing else", () => {
		const without = withRecords((records) => records.filter(({ kind }) => kind !== "sample"));
		expect(decideAgain(without, parts).difference).not.toBeNull();
		const again = decideAgain(withRecords(thinned), parts);
		expect(again.difference).toBeNull();
		expect(textOf(again)).toContain("had let samples of it go: those were not compared");
		const noTrip = withRecords((all) => thinned(all).filter(({ kind }) => kind !== "trip"));
		expect(decideAgain(noTrip, parts).difference).not.toBeNull();
	});

	it("has its other samples compared beside a digest", () => {
		const spoilt = withRecords((all) => {
			const left = thinned(all);
			const last = left.findLast(({ kind }) => kind === "sample");
			return left.map((one) => (one === last ? { ...one, supplyVolts: 99 } : one) as LogRecord);
		});
		expect(decideAgain(spoilt, parts).difference?.records).toMatchObject([
			{ was: "sample", now: "sample", fields: [{ field: "supplyVolts", was: 99 }] },
		]);
	});

	it("of a window has the digest that goes on after its end", () => {
		const { state } = createController(rig, pins).boot(0);
		const tape = stretches[0]?.tape ?? new Tape([]);
		const toMs = tape.fieldAt(tape.length - 1, 0);
		const [digest] = thinned(stretches[0]?.records ?? []).filter(({ kind }) => kind === "digest");
		const beyond = { ...digest, boot: state.boot, monoMs: toMs + 1 } as LogRecord;
		const after = { ...beyond, fromMs: toMs + 1, seq: beyond.seq + 1 } as LogRecord;
		const { records } = windowStretch({ begin: { type: "state", state }, tape, texts: null }, [
			...[beyond, after],
		]);
		expect(records).toEqual([beyond]);
	});
});

describe("a stretch that begins in a state", () => {
	const { state } = createController(rig, pins).boot(0);
	const inState = (change: object): RecordedTicks[] => {
		const tape = stretches[0]?.tape ?? new Tape([]);
		const begun = JSON.parse(JSON.stringify({ ...state, ...change }));
		return [{ begin: { type: "state", state: begun }, tape, records: [] }];
	};

	it("of another shape is refused in words", () => {
		expect(() => decideAgain(inState({ interlock: 3 }), parts)).toThrow(Misfit);
		expect(() => decideAgain(inState({ interlock: 3 }), parts)).toThrow(
			"interlock: a number, where today's logic has an object",
		);
	});

	it("in a state of the chart that there is none of any more is refused too", () => {
		const cycle = { ...state.cycle, value: { working: "dreaming" } };
		expect(() => decideAgain(inState({ cycle }), parts)).toThrow(
			"today's logic cannot go on from it",
		);
	});
});

/** Lets nothing pass. */
const never: typeof STAGES.interlock = () => ({ allow: false, memory: { holding: false } });
