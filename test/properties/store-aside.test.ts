// A store that is broken gets another name and is never deleted, a new one begins, and until that
// has a record of it the loss is told again at each opening. A disk that gives no store at all
// gives a store that has failed. The controller comes up tripped by either.

import {
	existsSync,
	mkdirSync,
	mkdtempSync,
	readdirSync,
	readFileSync,
	writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { createController } from "../../firmware/controller.ts";
import { stateName } from "../../firmware/cycle/advance.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { RefusedStore } from "../../firmware/log/soundness.ts";
import { Store } from "../../firmware/log/store.ts";
import { openStore } from "../../firmware/log/store-opening.ts";
import { exampleRig, pins } from "../stories/world.ts";
import { fill, LogStory, newFile } from "./log-story.ts";

const NOTES = "not a database, but somebody's notes\n".repeat(20);
const rig = exampleRig();

function brokenFile(): string {
	const file = newFile();
	writeFileSync(file, NOTES);
	return file;
}

const inFolder = (file: string) => readdirSync(dirname(file)).sort();

describe("a broken store", () => {
	it("is set aside as it was, and a new one begins", () => {
		const file = brokenFile();
		const { store, lost } = openStore(file);
		expect(lost).toBe(
			"the log was unreadable; it is kept as log.broken-1.sqlite: file is not a database",
		);
		expect(readFileSync(join(dirname(file), "log.broken-1.sqlite"), "utf8")).toBe(NOTES);
		fill(store, new LogStory().boot());
		store.close();
		expect(inFolder(file)).toEqual(["log.broken-1.sqlite", "log.sqlite"]);
		// It has been told, and stands in the log now.
		const again = openStore(file);
		expect(again.lost).toBeNull();
		again.store.close();
	});

	it("is told of until a record of it is there", () => {
		const file = brokenFile();
		openStore(file).store.close();
		const again = openStore(file);
		expect(again.lost).toBe("the log was unreadable; it is kept as log.broken-1.sqlite");
		again.store.close();
	});

	it("never takes the place of another one, and keeps what belongs to it", () => {
		const file = brokenFile();
		const folder = dirname(file);
		for (const name of ["log.broken-1.sqlite", "log.broken-7.sqlite-wal"]) {
			writeFileSync(join(folder, name), name);
		}
		writeFileSync(`${file}-wal`, "its wal");
		openStore(file).store.close();
		const kept = (name: string) => readFileSync(join(folder, name), "utf8");
		expect(kept("log.broken-1.sqlite")).toBe("log.broken-1.sqlite");
		expect(kept("log.broken-7.sqlite-wal")).toBe("log.broken-7.sqlite-wal");
		expect(kept("log.broken-8.sqlite")).toBe(NOTES);
		expect(kept("log.broken-8.sqlite-wal")).toBe("its wal");
	});

	it("whose setting aside was cut off is followed by what belongs to it", () => {
		const file = newFile();
		const folder = dirname(file);
		writeFileSync(join(folder, "log.broken-3.sqlite"), NOTES);
		writeFileSync(`${file}-wal`, "its wal");
		const { store, lost } = openStore(file);
		store.close();
		expect(lost).toContain("log.broken-3.sqlite");
		expect(readFileSync(join(folder, "log.broken-3.sqlite-wal"), "utf8")).toBe("its wal");
	});

	it("with a text that its kind does not allow is broken too", () => {
		const file = newFile();
		const { store } = openStore(file);
		const [boot] = new LogStory().boot();
		if (boot === undefined) throw new Error("no boot");
		store.write([{ ...boot, rig: 7 } as never], []);
		store.close();
		const { lost, store: fresh } = openStore(file);
		expect(lost).toContain("a record cannot be read");
		fresh.close();
		expect(existsSync(join(dirname(file), "log.broken-1.sqlite"))).toBe(true);
	});
});

describe("a controller whose log is lost", () => {
	const lost = "the log was unreadable; it is kept as log.broken-1.sqlite";
	const { state, outputs, records } = createController(rig, pins).boot(
		0,
		recover([], rig, { lost }),
	);

	it("comes up tripped, the pump off, and says so in the new log", () => {
		expect(stateName(state.cycle.value)).toBe("tripped");
		expect(state.cycle.context.trips).toMatchObject([{ code: "log-failed", cause: lost }]);
		expect(outputs).toMatchObject({ "pump-demand": false, "lamp-trip": true });
		expect(records.map(({ kind }) => kind)).toEqual(["boot", "trip", "state"]);
	});

	it("takes pump and bowl at their worst, as nobody knows what came before", () => {
		const { context } = state.cycle;
		expect(context.dutyMs).toBe(rig.pump.runMinutesMax * 60_000);
		expect(context.lastWaterMs).toBe(0);
	});

	it("is tripped after a restart too, and idle once somebody has acknowledged", () => {
		const again = recover(records, rig);
		expect(again.openTrips).toMatchObject([{ code: "log-failed", cause: lost }]);
		const codes = ["log-failed" as const];
		const acknowledged = new LogStory().record({
			kind: "acknowledged",
			id: "a",
			codes,
			from: "box",
		});
		expect(recover([...records, acknowledged], rig).openTrips).toEqual([]);
	});
});

describe("a disk that gives no store", () => {
	it("gives one that has failed, takes nothing and says why", async () => {
		const store = Store.failed("database or disk is full");
		expect(store.failure).toBe("no record can be kept: database or disk is full");
		expect(store.state()).toEqual({ durableSeq: 0, ageMs: 0, failed: true });
		store.append(new LogStory().boot(), []);
		expect(store.state()).toEqual({ durableSeq: 0, ageMs: 0, failed: true });
		await expect(store.read(1, 1)).rejects.toThrow("disk is full");
		await store.close();
		expect(store.storeId).not.toBe(Store.failed("again").storeId);
	});
});

describe("a folder that is none", () => {
	it("is refused: a file stands in its place", () => {
		const folder = mkdtempSync(join(tmpdir(), "lees-store-"));
		writeFileSync(join(folder, "log"), NOTES);
		expect(() => openStore(join(folder, "log", "log.sqlite"))).toThrow(RefusedStore);
		expect(() => openStore(join(folder, "log", "deeper", "log.sqlite"))).toThrow(RefusedStore);
		expect(readFileSync(join(folder, "log"), "utf8")).toBe(NOTES);
	});

	it("is refused: a folder stands in the file's place", () => {
		const file = newFile();
		mkdirSync(file);
		expect(() => openStore(file)).toThrow(RefusedStore);
		expect(inFolder(file)).toEqual(["log.sqlite"]);
	});
});
