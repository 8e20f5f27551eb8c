// Litres by meter and by hours with what they may be off, against sums worked by hand: JCGM 100,
// 5.1.2 for what is each part's own, 5.2.2 for what all share. And what an element has seen.

import { describe, expect, it } from "vitest";
import { runAnswer, totalAnswer } from "../../host/archive/answers.ts";
import { dateBoots } from "../../host/archive/dating.ts";
import type { Note } from "../../host/archive/note.ts";
import type { RigLog } from "../../host/archive/rig-log.ts";
import { elementParts, runRows, totalRows } from "../../host/archive/run-rows.ts";
import { type Boot, type Part, runsOf } from "../../host/archive/runs.ts";
import { litresIn, movedBy } from "../../host/archive/totals.ts";
import { drawLog, LogWriter, STORE } from "./drawn-log.ts";

const boot = (change: Partial<Boot> = {}): Boot => ({
	seq: 1,
	boot: 1,
	monoMs: 0,
	kind: "boot",
	rig: "any",
	meter: {
		kind: "positive-displacement",
		pulsesPerLitre: 420,
		uncertainty: 4.2,
		isCalibrated: true,
	},
	pump: { lph: 95, uncertainty: 16.4545, isMeasured: false },
	...change,
});
const part = (litres: number, of: Boot = boot(), motorMs = 3_600_000): Part => ({
	tally: { motorMs, pulses: litres * of.meter.pulsesPerLitre },
	starts: 1,
	boot: of,
});
const turbine = boot({
	meter: { kind: "turbine", pulsesPerLitre: 400, uncertainty: 4, isCalibrated: true },
});

describe("litres by the meter", () => {
	it("of one run: K-factor 1 %, allowance 2 % even, a pulse at its ends", () => {
		// sqrt(1² + (2 / sqrt 3)² + (1 / sqrt 6 / 420)²) = 1.52753
		const { meterLitres } = movedBy([part(100)]);
		expect(meterLitres.value).toBeCloseTo(100, 9);
		expect(meterLitres.uncertainty).toBeCloseTo(1.52753, 5);
	});

	it("of two runs is off twice as far: both share the meter's error", () => {
		expect(movedBy([part(100), part(100)]).meterLitres.uncertainty).toBeCloseTo(3.05505, 5);
	});

	it("of two calibrations: their errors are apart, the meter's allowance is one", () => {
		const later = boot({
			meter: {
				kind: "positive-displacement",
				pulsesPerLitre: 425,
				uncertainty: 4.25,
				isCalibrated: true,
			},
		});
		// sqrt(1² + 1² + (4 / sqrt 3)²) = 2.70801
		const { meterLitres } = movedBy([part(100), part(100, later)]);
		expect(meterLitres.uncertainty).toBeCloseTo(2.70801, 4);
	});

	it("of a turbine has 5 %, and so has a meter of a kind that was not told", () => {
		// sqrt(1² + (5 / sqrt 3)²) = 3.05505
		expect(movedBy([part(100, turbine)]).meterLitres.uncertainty).toBeCloseTo(3.05505, 4);
		// And the maker's K-factor, off by up to 10 %: sqrt((10 / sqrt 3)² + (5 / sqrt 3)²) = 6.45497
		const untold = boot({
			meter: { kind: null, pulsesPerLitre: 420, uncertainty: null, isCalibrated: false },
		});
		expect(movedBy([part(100, untold)]).meterLitres.uncertainty).toBeCloseTo(6.45497, 4);
	});

	it("of no pulses are none, and surely", () => {
		expect(movedBy([])).toMatchObject({
			meterLitres: { value: 0, uncertainty: 0 },
			differencePct: null,
		});
	});
});

describe("litres by hours", () => {
	it("of a rated pump have its ± 30 % once, and of a measured one its own and 30 %", () => {
		const { hoursLitres } = movedBy([part(90)]);
		expect(hoursLitres?.value).toBeCloseTo(95, 9);
		// 0.3 / sqrt 3 of 95 L, and 0.1 % / sqrt 3 of the hour.
		expect(hoursLitres?.uncertainty).toBeCloseTo(16.4546, 3);
		const measured = boot({ pump: { lph: 90, uncertainty: 2.7, isMeasured: true } });
		// sqrt(2.7² + (0.3 / sqrt 3 of 90)²) = 15.82
		expect(movedBy([part(90, measured)]).hoursLitres?.uncertainty).toBeCloseTo(15.8203, 3);
	});

	it("are not known where a record does not say what the pump moves", () => {
		const old = boot({ pump: null });
		expect(movedBy([part(90), part(90, old)])).toMatchObject({ hoursLitres: null, isWithin: null });
	});

	it("beside the meter's: how far apart, and whether both can be right", () => {
		expect(movedBy([part(90)]).differencePct).toBeCloseTo((100 * 5) / 90, 6);
		expect(movedBy([part(90)]).isWithin).toBe(true);
		// 2 sqrt(16.4546² + 0.76²) = 32.9 L apart at most.
		expect(movedBy([part(60)]).isWithin).toBe(false);
	});
});

describe("hours", () => {
	it("are off by 0.1 %, or by 0.1 s a start where that is more", () => {
		expect(movedBy([part(90)]).hours.uncertainty).toBeCloseTo(0.001 / Math.sqrt(3), 9);
		const short = { ...part(1, boot(), 10_000), starts: 5 };
		expect(movedBy([short]).hours.uncertainty).toBeCloseTo(0.5 / 3_600 / Math.sqrt(3), 9);
	});
});

const change = (afterSeq: number, storeId = STORE): Note => ({
	id: "c",
	rig: "Drawn rig",
	atUtcMs: 0,
	by: null,
	text: null,
	kind: "element-change",
	micron: 12,
	storeId,
	afterSeq,
});

function rigOf(logs: Record<string, ReturnType<typeof drawLog>>, notes: Note[] = []): RigLog {
	const stores = Object.entries(logs).map(([storeId, history]) => ({
		storeId,
		history,
		runs: runsOf(history),
		dating: dateBoots([], []),
	}));
	return { rig: "Drawn rig", stores, notes };
}

describe("an element's share", () => {
	const records = drawLog(21, 8);
	const none = () => null;

	it("is all without a change, and what came after it with one", () => {
		const all = rigOf({ [STORE]: records });
		const whole = totalRows(all, none);
		const [element, rig] = [whole.at(-2), whole.at(-1)];
		expect(element?.litres).toBe(rig?.litres);
		const third = runsOf(records)[2];
		if (third?.end == null) throw new Error("the third run has no end");
		const split = rigOf({ [STORE]: records }, [change(third.end.seq)]);
		const { runs } = elementParts(split, none);
		expect(runs).toBe(runsOf(records).length - 3);
	});

	it("of a run under way at the change is what came after it", () => {
		const writer = new LogWriter();
		writer.begin();
		writer.runBegin("a", "port");
		const sample = { flowLph: 90, vacuumKpa: 1, supplyVolts: 12, motorAmps: 1, fuelC: 15 };
		for (let s = 1; s <= 10; s += 1) {
			writer.write({ kind: "sample", ...sample, run: { motorMs: s * 1_000, pulses: s * 10 } });
		}
		writer.write({
			kind: "run-end",
			outcome: "finished",
			reasons: [],
			run: { motorMs: 10_500, pulses: 105 },
		});
		const rig = rigOf({ [STORE]: writer.records }, [change(6)]);
		const { parts } = elementParts(rig, () => ({ motorMs: 4_000, pulses: 40 }));
		expect(litresIn(parts)).toBeCloseTo(65 / 420, 12);
	});

	it("has the whole of a store that came after the change's", () => {
		const last = records.at(-1)?.seq ?? 0;
		const rig = rigOf({ before: drawLog(22), [STORE]: records, after: drawLog(23) }, [
			change(last),
		]);
		expect(elementParts(rig, none).runs).toBe(runsOf(drawLog(23)).length);
	});
});

describe("answers", () => {
	it("are as their schemas say; the rig is the sum of its tanks and of what ran unordered", () => {
		const rig = rigOf({ [STORE]: drawLog(31, 12) });
		const rows = totalRows(rig, () => null).map((row) => totalAnswer.parse(row));
		for (const run of runRows(rig)) runAnswer.parse(run);
		const of = (...kinds: string[]) => rows.filter((row) => kinds.includes(row.of));
		const litres = of("tank", "no order").reduce((sum, row) => sum + row.litres, 0);
		expect(litres).toBeCloseTo(of("rig")[0]?.litres ?? 0, 9);
	});
});
