// What a store must notice when it is opened: a gap, a changed text, rows that changed places, a
// tail whose predecessor is gone, a digest that was changed, a file whose pages are damaged. And
// what it must not take for damage: the logs of earlier controllers, and records of newer ones.

import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import Database from "better-sqlite3";
import { beforeAll, describe, expect, it } from "vitest";
import { createController } from "../../firmware/controller.ts";
import { chained } from "../../firmware/log/chain.ts";
import { StoreFile } from "../../firmware/log/database.ts";
import { followed } from "../../firmware/log/digest.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { BrokenStore, RefusedStore } from "../../firmware/log/soundness.ts";
import { rigTally } from "../../firmware/totals.ts";
import { exampleRig, pins } from "../stories/world.ts";
import { fill, LogStory, newFile } from "./log-story.ts";

/** A store of 16 runs, small enough that the first of them were thinned. */
function thinnedStore(file: string): void {
	const store = new StoreFile(file, 1_000_000);
	const story = new LogStory();
	for (let i = 0; i < 16; i += 1) fill(store, [...story.boot(), ...story.run(600)]);
	store.close();
}

function spoilt(file: string, sql: string): StoreFile {
	const copy = newFile();
	copyFileSync(file, copy);
	const db = new Database(copy);
	const { changes } = db.transaction(() => {
		const all = sql.split(";").map((statement) => db.prepare(statement).run().changes);
		return { changes: Math.min(...all) };
	})();
	db.close();
	if (changes === 0) throw new Error("nothing was spoilt");
	return new StoreFile(copy);
}

describe("a store that somebody changed", () => {
	const file = newFile();
	beforeAll(() => thinnedStore(file));

	it("is sound as it was", () => {
		const store = spoilt(file, "UPDATE meta SET value = value");
		expect(store.last().boot).toBe(16);
		store.close();
	});

	const newest = "(SELECT max(seq) FROM records)";
	const digest = "(SELECT max(seq) FROM records WHERE kind = 'digest')";
	it.each([
		["a gap", `DELETE FROM records WHERE seq = ${newest} - 9`],
		[
			"a changed text",
			`UPDATE records SET body = replace(body, '1.71', '1.72')
			WHERE seq = ${newest} - 9`,
		],
		["a changed chain", `UPDATE records SET chain = '${"0".repeat(32)}' WHERE seq = ${newest}`],
		["a changed kind", `UPDATE records SET kind = 'sample' WHERE seq = ${newest}`],
		[
			"swapped rows",
			`UPDATE records SET seq = -1 WHERE seq = ${newest} - 3;
			UPDATE records SET seq = ${newest} - 3 WHERE seq = ${newest} - 4;
			UPDATE records SET seq = ${newest} - 4 WHERE seq = -1`,
		],
		["a record before the first", `DELETE FROM records WHERE seq = 1`],
		["another store's identity", "UPDATE meta SET value = 'somebody else' WHERE key = 'storeId'"],
		["no identity", "DELETE FROM meta"],
		[
			"a changed digest",
			`UPDATE records SET body = replace(body, '"pulses":', '"pulses":1')
			WHERE seq = ${digest}`,
		],
		[
			"a digest without its seal",
			`UPDATE records SET
			body = substr(body, 1, instr(body, '"seal"') - 2) || '}' WHERE seq = ${digest}`,
		],
		[
			"a digest's chain changed",
			`UPDATE records SET chain = '${"0".repeat(32)}'
			WHERE seq = ${digest}`,
		],
		["a digest that is gone", `DELETE FROM records WHERE seq = ${digest}`],
	])("is broken by %s", (_, sql) => {
		expect(() => spoilt(file, sql)).toThrow(BrokenStore);
	});

	it("whose newest records alone are gone is an older store, and sound", () => {
		// Only who has seen more of it can tell: a pull does, by the highest number that it has.
		const store = spoilt(file, `DELETE FROM records WHERE seq > ${newest} - 20`);
		expect(store.last().boot).toBe(16);
		store.close();
	});

	it("is broken by bytes of a page that do not fit", () => {
		const copy = newFile();
		const bytes = readFileSync(file);
		bytes.fill(0xa5, 8_192, 9_000);
		writeFileSync(copy, bytes);
		expect(() => new StoreFile(copy)).toThrow(BrokenStore);
	});

	it("is broken when it is half as long as it was", () => {
		const copy = newFile();
		writeFileSync(copy, readFileSync(file).subarray(0, 200 * 4_096));
		expect(() => new StoreFile(copy)).toThrow(BrokenStore);
	});
});

describe("a file that is not ours to use", () => {
	it.each([
		["another program's", "PRAGMA application_id = 77; CREATE TABLE songs (name TEXT)"],
		["nobody's in particular", "CREATE TABLE songs (name TEXT)"],
		[
			"a newer program's",
			`PRAGMA application_id = ${0x4c454553}; PRAGMA user_version = 9;
			CREATE TABLE records (seq INTEGER PRIMARY KEY, more TEXT)`,
		],
	])("is refused and left as it was: %s", (_, sql) => {
		const file = newFile();
		const db = new Database(file);
		db.exec(sql);
		db.close();
		const before = readFileSync(file);
		expect(() => new StoreFile(file)).toThrow(RefusedStore);
		expect(readFileSync(file).equals(before)).toBe(true);
	});
});

/** As the first controllers wrote them: no version, pulses a litre at boot, no fuel in a sample. */
const OLD_TEXTS = [
	'{"seq":1,"boot":1,"monoMs":0,"kind":"boot","rig":"Heron","pulsesPerLitre":450}',
	'{"seq":2,"boot":1,"monoMs":900,"kind":"run-begin","order":{"id":"a","work":"polish",' +
		'"tank":"port","toTank":null,"goalLitres":5,"goalHours":null,"goalShare":null,' +
		'"turnoverLitres":310,"dilution":null,"sweep":null,"attended":true}}',
	'{"seq":3,"boot":1,"monoMs":1900,"kind":"sample","flowLph":90.123456789,"vacuumKpa":14.2,' +
		'"supplyVolts":12.6,"motorAmps":"stale","run":{"motorMs":1000,"pulses":11}}',
	'{"seq":4,"boot":1,"monoMs":2900,"kind":"trip","code":"dry-run","cause":"no fuel"}',
	'{"seq":5,"boot":1,"monoMs":3000,"kind":"sample","flowLph":0,"vacuumKpa":14.2,' +
		'"supplyVolts":12.6,"motorAmps":1.7,"run":{"motorMs":2000,"pulses":23}}',
];

function oldStore(texts: readonly string[]): string {
	const file = newFile();
	const db = new Database(file);
	db.exec(`PRAGMA journal_mode = WAL;
		CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
		CREATE TABLE records (seq INTEGER PRIMARY KEY, boot INTEGER NOT NULL,
			mono_ms INTEGER NOT NULL, kind TEXT NOT NULL, body TEXT NOT NULL, chain TEXT NOT NULL) STRICT;
		CREATE TABLE ring (id INTEGER PRIMARY KEY, boot INTEGER NOT NULL, from_ms INTEGER NOT NULL,
			to_ms INTEGER NOT NULL, state TEXT NOT NULL, inputs BLOB NOT NULL, pinned_by INTEGER) STRICT;
		INSERT INTO meta VALUES ('storeId', 'an-older-store');
		PRAGMA application_id = ${0x4c454553}; PRAGMA user_version = 1;`);
	const insert = db.prepare("INSERT INTO records VALUES (?, ?, ?, ?, ?, ?)");
	let chain = "an-older-store";
	for (const text of texts) {
		const { seq, boot, monoMs, kind } = JSON.parse(text);
		chain = chained(chain, text);
		insert.run(seq, boot, monoMs, kind, text, chain);
	}
	db.close();
	return file;
}

describe("the store of an earlier controller", () => {
	const rig = exampleRig();

	it("opens, holds its chain, and is recovered from", () => {
		const file = oldStore(OLD_TEXTS);
		const store = new StoreFile(file);
		expect(store.storeId).toBe("an-older-store");
		expect(store.read(1, 10).map(({ json }) => json)).toEqual(OLD_TEXTS);
		const recovery = recover(store.history(), rig, { last: store.last() });
		expect(recovery).toMatchObject({ boot: 2, nextSeq: 6, lost: null });
		expect(recovery.interrupted?.run).toEqual({ motorMs: 2000, pulses: 23 });
		expect(recovery.openTrips).toMatchObject([{ code: "dry-run" }]);
		const booted = createController(rig, pins).boot(0, recovery);
		expect(rigTally(booted.state.totals)).toEqual({ motorMs: 2000, pulses: 23 });
		store.write(booted.records, []);
		store.close();
		// What is written after it follows its chain, and the old program leaves it alone now.
		const again = new StoreFile(file);
		let end = { seq: 0, chain: "an-older-store" };
		for (const row of again.read(1, 100)) end = followed(end, row) ?? { seq: -1, chain: "" };
		expect(end.seq).toBe(5 + booted.records.length);
		again.close();
		const db = new Database(file);
		expect(db.pragma("user_version", { simple: true })).toBe(2);
		db.close();
	});

	it("is thinned like any other", () => {
		const store = new StoreFile(oldStore(OLD_TEXTS), 30_000);
		const story = LogStory.after(store.last());
		fill(store, [...story.end(), ...story.boot(), ...story.run(300), ...story.boot()]);
		const kinds = store.read(1, 10_000).map(({ json }) => JSON.parse(json).kind);
		// Two samples alone are less than a digest; the run after them has gone.
		expect(kinds.filter((kind) => kind === "sample").length).toBe(2);
		expect(kinds.filter((kind) => kind === "digest").length).toBe(1);
		store.close();
	});
});

describe("what a newer controller wrote", () => {
	it("in a kind or version unknown here is kept, numbered on after, and left out", () => {
		const unknown = '{"seq":6,"boot":4,"monoMs":1,"v":1,"kind":"weather","knots":12}';
		const newer = '{"seq":7,"boot":4,"monoMs":2,"v":9,"kind":"sample","depth":1}';
		const store = new StoreFile(oldStore([...OLD_TEXTS, unknown, newer]));
		const history = store.history();
		expect(history.map(({ seq }) => seq)).toEqual([1, 2, 4]);
		const recovery = recover(history, exampleRig(), { last: store.last() });
		expect(recovery).toMatchObject({ boot: 5, nextSeq: 8 });
		store.close();
	});
});
