// The check before a passage, over an invented autumn of real controller runs: each line held, not
// held or unknown, for its own reason.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { describe, expect, it } from "vitest";
import { elementAnswer, readyAnswer } from "../../host/archive/answers.ts";
import { Archive } from "../../host/archive/archive.ts";
import { elementRow } from "../../host/archive/element.ts";
import type { Note, NoteKind } from "../../host/archive/note.ts";
import { readiness } from "../../host/archive/readiness.ts";
import { READY_LIMITS } from "../../host/archive/ready-limits.ts";
import { type RigLog, rigsIn } from "../../host/archive/rig-log.ts";
import { litresIn } from "../../host/archive/totals.ts";
import { DEMO_NOW, DEMO_STORE, demoFile, makeDemo } from "./demo-archive.ts";

const file = demoFile(mkdtempSync(`${tmpdir()}/lees-ready-`));
makeDemo(file);
const archive = new Archive(file, { create: false });
const [demo] = rigsIn(archive);
if (demo === undefined) throw new Error("the demo has no rig");
const HOUR = 3_600_000;
const DAY = 24 * HOUR;

const head = { rig: demo.rig, by: null, text: null };
let notes = 0;
function noted(note: { kind: NoteKind; atUtcMs: number; [key: string]: unknown }): Note {
	notes += 1;
	return { ...head, id: `n-${notes}`, ...note } as Note;
}

/** The demo with more notes, without some kinds of them, or with another log. */
function rigWith(more: Note[], without: NoteKind[] = [], change: Partial<RigLog> = {}): RigLog {
	const kept = (demo?.notes ?? []).filter(({ kind }) => !without.includes(kind));
	const all = [...kept, ...more].sort((a, b) => a.atUtcMs - b.atUtcMs);
	return { rig: "Teal Willow portable rig", stores: demo?.stores ?? [], notes: all, ...change };
}

function line(rig: RigLog, check: string, tank: string | null = null, nowMs = DEMO_NOW) {
	const answer = readyAnswer.parse(readiness(rig, READY_LIMITS, nowMs));
	const found = answer.checks.find((row) => row.check === check && row.tank === tank);
	if (found === undefined) throw new Error(`no line ${check} of ${tank}`);
	return found;
}

describe("turnovers", () => {
	it("count what was polished since the tank's last uplift", () => {
		expect(line(rigWith([]), "turnovers", "port")).toMatchObject({ status: "not" });
		expect(line(rigWith([]), "turnovers", "port").why).toContain(
			"2.0 turnovers since the last uplift",
		);
	});

	it("of an undated run may lie on either side of an uplift: unknown where that decides", () => {
		// The undated runs are worth a thousandth of a turnover: between 14:00 of one day and the next.
		const uplift = noted({
			kind: "uplift",
			atUtcMs: Date.UTC(2026, 10, 20, 20),
			tank: "port",
			litres: 5,
			place: null,
			batch: null,
		});
		const last = demo.stores[0]?.runs.at(-1);
		const share = last === undefined ? 0 : litresIn([last]) / last.order.turnoverLitres;
		const status = (turnoversMin: number) =>
			readiness(rigWith([uplift]), { ...READY_LIMITS, turnoversMin }, DEMO_NOW).checks.find(
				({ check, tank }) => check === "turnovers" && tank === "port",
			)?.status;
		expect([share, share + 0.0005, share + 0.01].map(status)).toEqual(["held", "unknown", "not"]);
	});
});

describe("standing", () => {
	it("is held within the limit and not beyond it", () => {
		expect(line(rigWith([]), "standing", "port").status).toBe("held");
		expect(line(rigWith([]), "standing", "port", DEMO_NOW + 30 * DAY).status).toBe("not");
		expect(line(rigWith([]), "standing", "day").why).toContain("never polished");
	});

	it("of an interrupted run lies between its begin and the boot that found it", () => {
		const [store] = demo.stores;
		const last = store?.runs.at(-1);
		if (store === undefined || last === undefined) throw new Error("the demo has no run");
		const { begin } = last;
		const end = { seq: begin.seq + 100, boot: begin.boot + 1, monoMs: 0 };
		const runs = [{ ...last, end, outcome: "interrupted" }];
		const at = (boot: number) => ({
			utcMs: DEMO_NOW - (boot === begin.boot ? 40 * DAY : HOUR),
			uncertaintyMs: 0,
		});
		const rig = rigWith([], [], { stores: [{ ...store, runs, dating: { at, quarrels: [] } }] });
		const found = line(rig, "standing", last.order.tank);
		expect(found.status).toBe("unknown");
		expect(found.why).toContain("stood 0.0 to 40.0 days");
		expect(line(rig, "sample", last.order.tank).why).toContain("nor is when that ended");
	});
});

describe("a sample", () => {
	const sample = (hoursBeforeNow: number, looked: string) =>
		noted({
			kind: "sample",
			atUtcMs: DEMO_NOW - hoursBeforeNow * HOUR,
			tank: "port",
			from: "after-24h",
			looked,
			iso4406: null,
		});

	it("counts from 24 h after the last run on, and only a clear one", () => {
		expect(line(rigWith([]), "sample", "port").status).toBe("held");
		expect(line(rigWith([sample(1, "water")]), "sample", "port")).toMatchObject({
			status: "not",
			why: "the last sample showed: water",
		});
		expect(line(rigWith([sample(65, "clear")], ["sample"]), "sample", "port").status).toBe("not");
		expect(line(rigWith([], ["sample"]), "sample", "port").why).toBe("no sample is noted");
	});

	it("says nothing of fuel that was bought after it", () => {
		const bought = (hours: number, tank: string) => {
			const fields = { tank, litres: 5, place: null, batch: null };
			return noted({ kind: "uplift", atUtcMs: DEMO_NOW - hours * HOUR, ...fields });
		};
		expect(line(rigWith([bought(2, "port")]), "sample", "port")).toMatchObject({
			status: "not",
			why: "no sample since fuel was bought for it",
		});
		expect(line(rigWith([bought(2, "port"), sample(1, "clear")]), "sample", "port").status).toBe(
			"held",
		);
		expect(line(rigWith([bought(2, "day")]), "sample", "port").status).toBe("held");
	});

	it("from the bowl says nothing of the tank", () => {
		const bowl = noted({
			kind: "sample",
			atUtcMs: DEMO_NOW,
			tank: "port",
			from: "bowl",
			looked: "clear",
			iso4406: null,
		});
		expect(line(rigWith([bowl], ["sample"]), "sample", "port").status).toBe("not");
	});
});

describe("stand time", () => {
	it("asks how long the fuel stood and whether the engine did", () => {
		expect(line(rigWith([]), "stand-time", "port").status).toBe("held");
		expect(line(rigWith([], ["engine"]), "stand-time", "port")).toMatchObject({
			status: "unknown",
		});
		const ran = noted({
			kind: "engine",
			atUtcMs: DEMO_NOW,
			standsSinceUtcMs: DEMO_NOW - 13 * HOUR,
		});
		expect(line(rigWith([ran]), "stand-time", "port").why).toContain("the engine ran after");
	});

	it("takes no word for the engine that was given before the fuel had stood", () => {
		const last = demo.stores[0]?.runs.findLast(({ order }) => order.tank === "port");
		const end = last?.end === null || last === undefined ? null : last.end;
		const when = end === null ? undefined : demo.stores[0]?.dating.at(end.boot, end.monoMs);
		if (when === undefined || !("utcMs" in when)) throw new Error("the last run is undated");
		const noteAt = (hours: number) =>
			noted({
				kind: "engine",
				atUtcMs: when.utcMs + hours * HOUR,
				standsSinceUtcMs: when.utcMs - 50 * HOUR,
			});
		const status = (hours: number) =>
			line(rigWith([noteAt(hours)], ["engine"]), "stand-time", "port").status;
		expect([1, 11, 13].map(status)).toEqual(["unknown", "unknown", "held"]);
	});

	it("begins anew with an uplift", () => {
		const uplift = noted({
			kind: "uplift",
			atUtcMs: DEMO_NOW - 2 * HOUR,
			tank: "port",
			litres: 5,
			place: null,
			batch: null,
		});
		expect(line(rigWith([uplift]), "stand-time", "port")).toMatchObject({ status: "not" });
	});
});

describe("the element", () => {
	it("is judged by the low end of its forecast, and unknown after a change", () => {
		expect(line(rigWith([]), "element").status).toBe("held");
		const full = { ...READY_LIMITS, elementLeftPctMin: 90 };
		expect(
			readiness(rigWith([]), full, DEMO_NOW).checks.find(({ check }) => check === "element")
				?.status,
		).toBe("not");
		const last = archive.last(DEMO_STORE)?.seq ?? 0;
		const change = noted({
			kind: "element-change",
			atUtcMs: DEMO_NOW,
			micron: 10,
			storeId: DEMO_STORE,
			afterSeq: last,
		});
		expect(line(rigWith([change]), "element").status).toBe("unknown");
		const row = elementAnswer.parse(elementRow(rigWith([change]), () => null));
		expect(row).toMatchObject({ micron: 10, runs: 0, litres: 0, restriction: null, trend: [] });
	});

	it("tells its restriction run by run, and null for a plugging that never comes", () => {
		const row = elementAnswer.parse(elementRow(rigWith([]), () => null));
		expect(row.trend.map(({ litres }) => Math.round(litres))).toEqual([62, 242, 424]);
		expect(row.restriction?.kpa).toBe(row.trend.at(-1)?.kpa);
		expect(row.forecast?.litres.high).toBeNull();
		expect(row.forecast?.grams.low).toBeGreaterThan(0);
	});
});

describe("open trips", () => {
	it("are those that nobody acknowledged", () => {
		expect(line(rigWith([]), "trips").status).toBe("held");
		const stores = (demo.stores ?? []).map((store) => ({
			...store,
			history: store.history.filter(({ kind }) => kind !== "acknowledged"),
		}));
		const found = line(rigWith([], [], { stores }), "trips");
		expect(found.status).toBe("not");
		expect(found.why).toMatch(/^water-in-bowl, interrupted not acknowledged: isolator off/);
	});
});

describe("spares and waste", () => {
	it("spares are counted, and used up by each change", () => {
		expect(line(rigWith([]), "spares").why).toBe("2 on board; wanted 1");
		const used = [1, 2].map((n) =>
			noted({
				kind: "element-change",
				atUtcMs: DEMO_NOW - n * HOUR,
				micron: 10,
				storeId: null,
				afterSeq: 0,
			}),
		);
		expect(line(rigWith(used), "spares").status).toBe("not");
		expect(line(rigWith([], ["spare-elements"]), "spares").status).toBe("unknown");
	});

	it("waste is held once what was drained is handed in", () => {
		const before = line(rigWith([]), "waste");
		expect(before.status).toBe("not");
		const drained = Number(/^(\d+) mL drained/.exec(before.why)?.[1]);
		expect(drained).toBeGreaterThan(0);
		const handed = noted({
			kind: "waste",
			atUtcMs: DEMO_NOW,
			wasteMl: drained + 1,
			container: "red can",
			place: "yard",
			receipt: null,
		});
		const after = line(rigWith([handed]), "waste");
		expect(after.status).toBe("held");
		expect(after.why).toContain("1 handed in without a receipt");
	});

	it("waste in containers is aboard, whatever was told of the bowl, until it is handed in", () => {
		const filled = (wasteMl: number, place: string | null) =>
			noted({
				kind: "waste",
				atUtcMs: DEMO_NOW,
				wasteMl,
				container: "red can",
				place,
				receipt: "7",
			});
		const none = { stores: [] };
		const aboard = line(rigWith([filled(500, null)], ["waste"], none), "waste");
		expect(aboard.status).toBe("not");
		expect(aboard.why).toContain("500 mL put into containers, 0 mL handed in: 500 mL still aboard");
		const handed = [filled(500, null), filled(500, "yard")];
		expect(line(rigWith(handed, ["waste"], none), "waste").status).toBe("held");
	});
});

describe("a rig of which nothing is known", () => {
	it("is not ready", () => {
		const answer = readiness({ rig: "none", stores: [], notes: [] }, READY_LIMITS, DEMO_NOW);
		expect(answer.isReady).toBe(false);
		expect(answer.cautions[0]).toContain("only a sample");
		expect(answer.checks[0]).toMatchObject({ tank: null, status: "unknown" });
		expect(answer.checks[0]?.why).toContain("of any tank");
	});
});

describe("after a dose", () => {
	it("says that dead growth plugs elements, for two weeks", () => {
		const dose = noted({
			kind: "dose",
			atUtcMs: DEMO_NOW - DAY,
			tank: "port",
			product: "biocide",
			doseMl: 60,
		});
		const at = (nowMs: number) =>
			readiness(rigWith([dose]), READY_LIMITS, nowMs).cautions.join(" ");
		expect(at(DEMO_NOW)).toContain("Dead growth plugs elements");
		expect(at(DEMO_NOW + 14 * DAY)).not.toContain("Dead growth");
	});
});
