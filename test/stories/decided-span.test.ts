// How much of a run was decided: windows that meet are one, what lies outside the run is none of
// it, and each part that no window covers is a gap.

import { describe, expect, it } from "vitest";
import { createController } from "../../firmware/controller.ts";
import { Tape } from "../../firmware/log/tape.ts";
import type { ExactAnswer } from "../../host/replay/answer.ts";
import { spanOf } from "../../host/replay/decided-span.ts";
import { exactAccount } from "../../host/report/replay-account.ts";
import type { RecordedTicks } from "../../sim/bench/replay.ts";
import { exampleRig, pins } from "./world.ts";

const BEGIN = { seq: 12, boot: 2, monoMs: 60_000 };
const HOURS_3_MS = 10_800_000;
const endMs = BEGIN.monoMs + HOURS_3_MS;
const result = createController(exampleRig(), pins).boot(0);

/** One tick stands for all of them: only the last one's time is looked at. */
function window(fromMs: number, toMs: number, boot = 2): RecordedTicks {
	const tape = new Tape([]);
	const log = { durableSeq: 0, ageMs: 0, failed: false };
	tape.push({ nowMs: toMs, readings: {}, commands: [], commissioned: false, log }, result.outputs);
	const state = { ...result.state, boot, nowMs: fromMs };
	return { begin: { type: "state", state }, tape, records: [] };
}

const spanned = (...stretches: RecordedTicks[]) => spanOf(BEGIN, endMs, stretches);

describe("the span of a run that was decided", () => {
	it("is all of it where the windows meet and reach past both ends", () => {
		const middleMs = 5_000_000;
		const found = spanned(window(middleMs, endMs + 500), window(0, middleMs));
		expect(found).toEqual({ run: 12, runSeconds: 10_800, decidedSeconds: 10_800, gaps: 0 });
	});

	it("is the last ten minutes of three hours, with one gap", () => {
		const found = spanned(window(endMs - 600_000, endMs));
		expect(found).toMatchObject({ decidedSeconds: 600, gaps: 1 });
	});

	it("counts what overlaps once, and gaps on each side", () => {
		const found = spanned(window(1e6, 2e6), window(1.5e6, 2.5e6), window(4e6, 5e6));
		expect(found).toMatchObject({ decidedSeconds: 2_500, gaps: 3 });
	});

	it("is none of another boot's ticks", () => {
		expect(spanned(window(0, endMs, 1))).toMatchObject({ decidedSeconds: 0, gaps: 1 });
	});
});

describe("the account", () => {
	const logic = { version: "1.2.3", hash: "invented" };
	const answer = (stretches: RecordedTicks[]): ExactAnswer => ({
		...{ kind: "exact", run: "r", recordedBy: logic, replayedBy: logic, set: {}, wallSeconds: 1 },
		...{ ticks: 6_000, simulatedSeconds: 600, account: [], lacksSamples: false, hungAt: null },
		...{ isIdentical: true, difference: null, rigFile: "own.yaml", span: spanned(...stretches) },
	});
	const textOf = (stretches: RecordedTicks[], changes: string[] = []) =>
		exactAccount(answer(stretches), changes)
			.map(({ text }) => text)
			.join("\n");

	it("calls identical what was decided, and says what was not", () => {
		const text = textOf([window(endMs - 600_000, endMs)]);
		expect(text).toContain(
			"IDENTICAL in 0:10:00.0 of run 12: all 6000 ticks decide the same.\n" +
				"The other 2:50:00.0 of run 12's 3:00:00.0, in one gap, was not decided: no tick\n" +
				"inputs of it are left.",
		);
	});

	it("calls all of it identical where nothing is missing", () => {
		const text = textOf([window(0, endMs)]);
		expect(text).toContain("IDENTICAL: all 6000 ticks decide the same.");
		expect(text).not.toContain("was not decided");
	});

	it("tells a rig file of the caller's own", () => {
		expect(textOf([window(0, endMs)], ["a=1"])).toContain("What if: rig file own.yaml, a=1.");
	});
});
