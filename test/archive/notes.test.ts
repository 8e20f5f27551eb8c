// Notes as the archive keeps them: those of the version before stay as they were and are read; the
// waste ledger, the pick-up spots and every element's totals against sums worked by hand.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { pastElementAnswer } from "../../host/archive/answers.ts";
import { Archive } from "../../host/archive/archive.ts";
import { elementHistory, elementRow } from "../../host/archive/element.ts";
import type { TallyAt } from "../../host/archive/element-spans.ts";
import { sheetOf } from "../../host/archive/export.ts";
import { type Note, type NoteKind, noteKinds, noteSchema } from "../../host/archive/note.ts";
import { keepNote, type NoteEntry, NoteRefused } from "../../host/archive/note-entry.ts";
import { type RigLog, rigsIn } from "../../host/archive/rig-log.ts";
import { totalRows } from "../../host/archive/run-rows.ts";
import { spotMaps } from "../../host/archive/spots.ts";
import { wasteLedger } from "../../host/archive/waste-ledger.ts";
import { noteWords } from "../../host/report/archive-account.ts";
import { DEMO_RIG, DEMO_STORE, demoFile, makeDemo } from "./demo-archive.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-notes-"));
let files = 0;
function newFile(): string {
	files += 1;
	return join(folder, `notes-${files}.sqlite`);
}

/** Notes as the third version wrote them, and what it had not. */
const oldNotes: ReadonlyArray<readonly [kind: NoteKind, fields: object]> = [
	["dose", { tank: "port", product: "biocide", doseMl: 60 }],
	["sample", { tank: "port", from: "bowl", looked: "hazy", iso4406: null }],
	["drained", { drainedMl: 80 }],
	["uplift", { tank: "port", litres: 120, place: null, batch: "A-17" }],
];

function thirdVersion(file: string): string[] {
	new Archive(file, { create: true }).close();
	const db = new Database(file);
	db.exec("DROP TABLE photos; PRAGMA user_version = 3");
	const insert = db.prepare("INSERT INTO notes VALUES (?, ?, ?, ?, ?, NULL)");
	const bodies = oldNotes.map(([kind, fields], i) => {
		const head = { id: `old-${i}`, rig: "Old rig", atUtcMs: 1_000 + i, by: null, text: null, kind };
		const body = JSON.stringify({ ...head, ...fields });
		insert.run(head.id, head.rig, head.atUtcMs, kind, body);
		return body;
	});
	db.close();
	return bodies;
}

describe("an archive of the third version", () => {
	it("keeps its notes as they were written, reads them, and gets a place for photos", () => {
		const file = newFile();
		const bodies = thirdVersion(file);
		const archive = new Archive(file, { create: false });
		const notes = archive.notes.of("Old rig");
		expect(notes).toMatchObject([
			{ kind: "dose", label: null },
			{ kind: "sample", clearAndBright: null },
			{ kind: "drained", tank: null, container: null },
			{ kind: "uplift", batch: "A-17" },
		]);
		// The same one again is known, by whichever version it was written.
		for (const note of notes) expect(archive.notes.add(note)).toBe("known");
		const [dose] = notes;
		if (dose?.kind !== "dose") throw new Error("no dose");
		expect(archive.notes.add({ ...dose, doseMl: 61 })).toBe("other");
		expect(archive.photos.heads().size).toBe(0);
		archive.photos.add("old-1", { kind: "jpeg", bytes: Uint8Array.of(1, 2, 3) });
		archive.close();
		const db = new Database(file, { readonly: true });
		const rows = db.prepare("SELECT body FROM notes ORDER BY id").pluck().all();
		expect(rows).toEqual(bodies);
		expect(db.pragma("user_version", { simple: true })).toBe(4);
		db.close();
		const again = new Archive(file, { create: false });
		expect(again.photos.read("old-1")).toEqual({ kind: "jpeg", bytes: Buffer.of(1, 2, 3) });
		again.close();
	});
});

/** One of each kind, as somebody would type it. */
const entries: Readonly<Record<NoteKind, Record<string, unknown>>> = {
	uplift: { tank: "port", litres: 120, batch: "A-17" },
	dose: { tank: "port", product: "biocide", doseMl: 60, label: "1 mL to 2 L" },
	sample: { tank: "port", from: "tank-bottom", looked: "clear", clearAndBright: true },
	"element-change": { micron: 10 },
	drained: { drainedMl: 80, tank: "port", container: "red can" },
	"spare-elements": { count: 2 },
	waste: { wasteMl: 80, container: "red can", place: "yard", receipt: "77" },
	"spot-map": { tank: "port", spots: ["fore-low", "middle", "aft"] },
	spots: { tank: "port", spots: ["fore-low"] },
	engine: { standsSinceUtcMs: 1_000 },
};
const NOW = Date.UTC(2026, 10, 25);
const RIG = "Own rig";

function problemsOf(work: () => unknown): NoteRefused["problems"] {
	try {
		work();
	} catch (error) {
		if (error instanceof NoteRefused) return error.problems;
		throw error;
	}
	throw new Error("it was not refused");
}

describe("a note from an entry", () => {
	const archive = new Archive(newFile(), { create: true });
	const keep = (entry: Record<string, unknown>, id = "i") =>
		keepNote(archive, RIG, { id, ...entry } as NoteEntry, NOW);

	it.each(noteKinds)("of kind %s is kept once, exported and worded", (kind) => {
		const entry = { kind, ...entries[kind] };
		const id = `one-${kind}`;
		expect(keep(entry, id)).toMatchObject({ outcome: "added", note: { ...entry, rig: RIG } });
		expect(keep(entry, id).outcome).toBe("known");
		const kept = archive.notes.of(RIG).find((note) => note.id === id);
		if (kept === undefined) throw new Error("it is not there");
		expect(noteSchema.parse(kept)).toEqual(kept);
		expect(noteWords(kept)).not.toMatch(/undefined|null/);
		const sheet = sheetOf("notes", archive, rigsIn(archive));
		const row = [...sheet.rows].find(([cell]) => cell === id);
		for (const [name, value] of Object.entries(entries[kind])) {
			if (name === "standsSinceUtcMs") continue;
			const column = sheet.columns.findIndex((one) => one.name === name);
			expect(row?.[column], name).toEqual(Array.isArray(value) ? value.join(" ") : value);
		}
	});

	it("that waited on a phone is dated by its age, whatever the phone's clock says", () => {
		const entry = { kind: "spare-elements", count: 1 };
		const { note } = keep({ ...entry, ageMs: 3_600_000 }, "waited");
		expect(note.atUtcMs).toBe(NOW - 3_600_000);
		expect(keep({ ...entry, ageMs: 7_200_000 }, "waited").outcome).toBe("known");
	});

	it.each([
		[{ kind: "lubricant" }, "kind"],
		[{ kind: "uplift", tank: "port" }, "litres"],
		[{ kind: "uplift", tank: "Port!", litres: 4 }, "tank"],
		[{ kind: "uplift", tank: "port", litres: "4" }, "litres"],
		[{ kind: "uplift", tank: "port", litres: 4, colour: "red" }, "colour"],
		[{ kind: "uplift", tank: "port", litres: 4, atUtcMs: NOW + 61_000 }, "atUtcMs"],
		[{ kind: "engine", standsSinceUtcMs: NOW + 61_000 }, "standsSinceUtcMs"],
		[{ kind: "spots", tank: "port", spots: [] }, "spots"],
		[{ kind: "spots", tank: "port", spots: ["aft", "aft"] }, "spots"],
		[{ kind: "spots", tank: "port", spots: ["aft"], run: 7 }, "run"],
		[{ kind: "element-change", micron: 10, afterRun: 7 }, "afterRun"],
		[{ kind: "drained", drainedMl: -1 }, "drainedMl"],
	])("%j is refused at its field", (entry, field) => {
		expect(problemsOf(() => keep(entry, "no")).map((one) => one.field)).toContain(field);
		expect(archive.notes.counts("no")).toBeNull();
	});

	it("of a sample is clear and bright only where it looked clear, and the other way round", () => {
		const sample = { kind: "sample", tank: "port", from: "after-24h" };
		for (const looked of ["hazy", "water", "dirt"]) {
			const both = { ...sample, looked, clearAndBright: true };
			expect(problemsOf(() => keep(both, "no"))[0]?.field).toBe("clearAndBright");
			keep({ ...sample, looked, clearAndBright: false }, looked);
		}
		const dull = { ...sample, looked: "clear", clearAndBright: false };
		expect(problemsOf(() => keep(dull, "no"))[0]?.field).toBe("looked");
	});

	it("names the field of every value that is wrong, and another note's id", () => {
		const bad = { kind: "dose", tank: "Port!", product: "", doseMl: -1 };
		const fields = problemsOf(() => keep(bad)).map(({ field }) => field);
		expect(fields.sort()).toEqual(["doseMl", "product", "tank"]);
		keep({ kind: "drained", drainedMl: 1 }, "taken");
		expect(problemsOf(() => keep({ kind: "drained", drainedMl: 2 }, "taken"))[0]?.field).toBe("id");
	});
});

let notes = 0;
function noted(kind: NoteKind, atUtcMs: number, fields: object): Note {
	notes += 1;
	const head = { id: `n-${notes}`, rig: RIG, atUtcMs, by: null, text: null, kind };
	const nulls = {
		place: null,
		batch: null,
		receipt: null,
		storeId: null,
		run: null,
		iso4406: null,
	};
	const shape = noteSchema.options.find((one) => one.shape.kind.values.has(kind as never))?.shape;
	const own = Object.entries(nulls).filter(([name]) => name in (shape ?? {}));
	return noteSchema.parse({ ...head, ...Object.fromEntries(own), ...fields });
}
const rigOf = (...all: Note[]): RigLog => ({ rig: RIG, stores: [], notes: all });

describe("the waste ledger", () => {
	const drained = (drainedMl: number, container: string | null = null) =>
		noted("drained", 1, { drainedMl, container });
	const filled = (wasteMl: number, container: string) => noted("waste", 2, { wasteMl, container });
	const handed = (wasteMl: number, container: string, receipt: string | null = null) =>
		noted("waste", 3, { wasteMl, container, place: "yard", receipt });

	it("counts what was drained where it stands, and what was handed in out of it", () => {
		const rig = rigOf(drained(80, "red can"), drained(40, "jar"), handed(50, "red can", "77"));
		expect(wasteLedger(rig)).toMatchObject({
			drainedMl: 120,
			handedMl: 50,
			aboardMl: 70,
			looseMl: 0,
			containers: [
				{ container: "jar", filledMl: 40, handedMl: 0, aboardMl: 40 },
				{ container: "red can", filledMl: 80, handedMl: 50, aboardMl: 30 },
			],
			handed: [{ wasteMl: 50, container: "red can", place: "yard", receipt: "77" }],
		});
	});

	it("does not count one water twice: drained without a word, then put into a container", () => {
		const rig = rigOf(drained(80), filled(60, "red can"));
		expect(wasteLedger(rig)).toMatchObject({ containedMl: 60, aboardMl: 80, looseMl: 20 });
	});

	it("more than was noted of one container takes nothing from another", () => {
		const rig = rigOf(drained(100, "red can"), drained(100, "jar"), handed(200, "red can"));
		expect(wasteLedger(rig)).toMatchObject({ aboardMl: 100, looseMl: 0 });
		expect(wasteLedger(rigOf())).toMatchObject({ aboardMl: 0, containers: [], handed: [] });
	});
});

describe("the map of pick-up spots", () => {
	it("has those of the last map first, and tells which were done since the last uplift", () => {
		const rig = rigOf(
			noted("spot-map", 1, { tank: "port", spots: ["old"] }),
			noted("spot-map", 2, { tank: "port", spots: ["fore-low", "middle", "aft"] }),
			noted("spots", 3, { tank: "port", spots: ["fore-low", "corner"] }),
			noted("uplift", 4, { tank: "port", litres: 50 }),
			noted("spots", 5, { tank: "port", spots: ["aft"], storeId: "s", run: 9 }),
		);
		const [port] = spotMaps(rig);
		expect(port?.spots).toEqual([
			{ spot: "fore-low", doneUtcMs: 3, storeId: null, run: null, isDone: false },
			{ spot: "middle", doneUtcMs: null, storeId: null, run: null, isDone: false },
			{ spot: "aft", doneUtcMs: 5, storeId: "s", run: 9, isDone: true },
			{ spot: "corner", doneUtcMs: 3, storeId: null, run: null, isDone: false },
		]);
	});
});

describe("every element's totals", () => {
	const file = demoFile(folder);
	makeDemo(file);
	const archive = new Archive(file, { create: false });
	const [demo] = rigsIn(archive);
	if (demo === undefined) throw new Error("the demo has no rig");
	const tallyAt: TallyAt = (...asked) => archive.tallyAt(...asked);
	const changed = (afterSeq: number, atUtcMs: number, micron: number) => ({
		...noted("element-change", atUtcMs, { micron, storeId: DEMO_STORE, afterSeq }),
		rig: DEMO_RIG,
	});
	const runs = demo.stores[0]?.runs ?? [];
	const last = archive.last(DEMO_STORE)?.seq ?? 0;
	const whole = totalRows(demo, tallyAt).find(({ of }) => of === "rig");

	it("without another change are those of the one in use", () => {
		const rows = elementHistory(demo, tallyAt);
		expect(rows).toMatchObject([{ micron: 12, until: null }]);
		expect(rows[0]?.litres).toBe(elementRow(demo, tallyAt).litres);
	});

	it("add up to the rig's, in the middle of a run too, and stay when a new one begins", () => {
		// In the middle of the first run, by its record; and after all.
		const begin = runs[0]?.begin.seq ?? 0;
		const middle = begin + Math.floor(((runs[0]?.end?.seq ?? 0) - begin) / 2);
		const more = [changed(middle, 2e12, 10), changed(last, 3e12, 5)];
		const rows = elementHistory({ ...demo, notes: [...demo.notes, ...more] }, tallyAt);
		for (const row of rows) pastElementAnswer.parse(row);
		expect(rows.map(({ micron, runs }) => [micron, runs])).toEqual([
			[12, 1],
			[10, runs.length],
			[5, 0],
		]);
		const litres = rows.map((row) => row.litres);
		expect(litres[0]).toBeGreaterThan(1);
		expect(litres[0]).toBeLessThan(60);
		expect(litres[2]).toBe(0);
		expect(litres.reduce((a, b) => a + b)).toBeCloseTo(whole?.litres ?? 0, 6);
		const hours = rows.reduce((sum, { motorHours }) => sum + motorHours, 0);
		expect(hours).toBeCloseTo(whole?.motorHours ?? 0, 9);
		expect(rows.map(({ until }) => until)).toEqual([2e12, 3e12, null]);
		expect(rows[0]?.lastKpa).toBeNull();
		expect(rows[1]?.lastKpa).toBeGreaterThan(4);
	});
});
