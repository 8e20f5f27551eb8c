// The archive as a file: an old one is brought up to date wholly or not at all; one of a newer
// version, or something that is none, is left byte for byte as it was.

import { existsSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { describe, expect, it } from "vitest";
import { chained } from "../../firmware/log/chain.ts";
import { Archive } from "../../host/archive/archive.ts";
import { runsOf } from "../../host/archive/runs.ts";
import { batchOf, chainedRecords, drawLog, STORE } from "./drawn-log.ts";

const folder = () => mkdtempSync(join(tmpdir(), "lees-archive-file-"));

/** As the first version wrote them: without `v`, boots without a meter, samples without heat. */
const oldTexts = [
	'{"seq":1,"boot":1,"monoMs":0,"kind":"boot","rig":"Old rig","pulsesPerLitre":420}',
	'{"seq":2,"boot":1,"monoMs":1000,"kind":"run-begin","order":{"id":"a","work":"polish","tank":' +
		'"port","toTank":null,"goalLitres":60,"goalHours":null,"goalShare":null,"turnoverLitres":180,' +
		'"dilution":null,"sweep":null,"attended":true}}',
	'{"seq":3,"boot":1,"monoMs":2000,"kind":"sample","flowLph":90.123456,"vacuumKpa":12.5,' +
		'"supplyVolts":12.61,"motorAmps":1.7,"run":{"motorMs":1000,"pulses":10}}',
	'{"seq":4,"boot":1,"monoMs":3000,"kind":"run-end","outcome":"finished","reasons":[],' +
		'"run":{"motorMs":2000,"pulses":21}}',
];

/** An archive as version 1 made it, by its own SQL. */
function firstVersion(file: string, spoil: (chain: string) => string = (chain) => chain): void {
	const db = new Database(file);
	db.exec(`CREATE TABLE records (store_id TEXT NOT NULL, seq INTEGER NOT NULL, kind TEXT NOT NULL,
		body TEXT NOT NULL, chain TEXT NOT NULL, PRIMARY KEY (store_id, seq)) STRICT, WITHOUT ROWID`);
	db.pragma(`application_id = ${0x4c454541}`);
	db.pragma("user_version = 1");
	db.pragma("journal_mode = WAL");
	const insert = db.prepare("INSERT INTO records VALUES (?, ?, ?, ?, ?)");
	for (const storeId of ["old-one", "old-two"]) {
		let chain = storeId;
		oldTexts.forEach((text, i) => {
			chain = chained(chain, text);
			insert.run(storeId, i + 1, JSON.parse(text).kind, text, spoil(chain));
		});
	}
	for (const { seq, json, chain } of chainedRecords(drawLog(9))) {
		insert.run(STORE, seq, JSON.parse(json).kind, json, spoil(chain));
	}
	db.close();
}

describe("an archive of the first version", () => {
	it("is brought up to date with every record as it was", () => {
		const file = join(folder(), "old.sqlite");
		firstVersion(file);
		const archive = new Archive(file, { create: false });
		expect(archive.stores()).toEqual(["5f0c1d2e-invented", "old-one", "old-two"]);
		for (const id of ["old-one", "old-two"]) {
			expect([...archive.texts(id)].map(({ text }) => text)).toEqual(oldTexts);
			const [run] = runsOf(archive.history(id));
			expect(run).toMatchObject({ outcome: "finished", tally: { motorMs: 2_000, pulses: 21 } });
			expect(run?.boot?.meter).toMatchObject({ pulsesPerLitre: 420, kind: null });
			expect(archive.buckets(id)).toMatchObject([{ samples: 1, pulses: 21, motorMs: 2_000 }]);
			expect(archive.buckets(id)[0]?.of.flowLph?.mean).toBeCloseTo(90.123456, 9);
		}
		const stored = chainedRecords(drawLog(9));
		expect([...archive.texts(STORE)].map(({ text }) => text)).toEqual(
			stored.map(({ json }) => json),
		);
		archive.close();
		const again = new Archive(file, { create: false });
		expect(again.last("old-one")?.seq).toBe(4);
		expect(again.windows("old-one")).toEqual([]);
		again.close();
		expect(readdirSync(join(file, ".."))).toEqual(["old.sqlite"]);
	});

	it("whose chain does not hold is refused and keeps what it had", () => {
		const file = join(folder(), "old.sqlite");
		firstVersion(file, (chain) => chain.replace(/^./, "x"));
		expect(() => new Archive(file, { create: false })).toThrow("do not follow by their chain");
		const db = new Database(file, { readonly: true });
		expect(db.pragma("user_version", { simple: true })).toBe(1);
		expect(
			db.prepare("SELECT count(*) AS n FROM records WHERE store_id = 'old-one'").get(),
		).toEqual({ n: 4 });
		db.close();
	});
});

describe("an archive of the second version", () => {
	it("keeps all it has and gets a place for windows of tick inputs", () => {
		const file = join(folder(), "second.sqlite");
		const stored = chainedRecords(drawLog(9));
		const before = new Archive(file, { create: true });
		before.add(STORE, batchOf(stored));
		before.close();
		// All that later versions have added.
		const second = new Database(file);
		second.exec("DROP TABLE windows; DROP TABLE photos; PRAGMA user_version = 2");
		second.close();
		const archive = new Archive(file, { create: false });
		expect([...archive.texts(STORE)].map(({ text }) => text)).toEqual(
			stored.map(({ json }) => json),
		);
		expect(archive.windows(STORE)).toEqual([]);
		const name = { seq: 3, boot: 1, toMs: 400 };
		archive.keepWindow(STORE, name, Uint8Array.of(1, 2, 3));
		// The same again is no other one.
		archive.keepWindow(STORE, name, Uint8Array.of(9));
		archive.close();
		const again = new Archive(file, { create: false });
		expect(again.windows(STORE)).toEqual([name]);
		expect(again.window(STORE, 3)).toEqual(Buffer.of(1, 2, 3));
		expect(again.window(STORE, 4)).toBeNull();
		again.close();
	});
});

describe("a file that this program does not know", () => {
	const refuse = (file: string, words: string) => {
		const before = readFileSync(file);
		const beside = readdirSync(join(file, ".."));
		for (const create of [false, true]) {
			expect(() => new Archive(file, { create })).toThrow(words);
		}
		expect(readFileSync(file).equals(before)).toBe(true);
		expect(readdirSync(join(file, ".."))).toEqual(beside);
	};

	it.each(["WAL", "DELETE"])("an archive of a newer version, journal %s", (journal) => {
		const file = join(folder(), "newer.sqlite");
		const db = new Database(file);
		db.pragma(`application_id = ${0x4c454541}`);
		db.pragma("user_version = 5");
		db.pragma(`journal_mode = ${journal}`);
		db.exec("CREATE TABLE later (a); INSERT INTO later VALUES (1)");
		db.close();
		refuse(file, "an archive of version 5");
	});

	it("somebody else's database", () => {
		const file = join(folder(), "songs.sqlite");
		const db = new Database(file);
		db.pragma("journal_mode = WAL");
		db.exec("CREATE TABLE songs (name TEXT)");
		db.close();
		refuse(file, "a database that is no archive");
	});

	it("a text, and an empty file", () => {
		const file = join(folder(), "text");
		writeFileSync(file, "oil change in spring\n".repeat(20));
		refuse(file, "a file that is no archive");
		writeFileSync(file, "");
		refuse(file, "a file that is no archive");
	});
});

describe("a new archive", () => {
	it("is made whole, and leaves nothing beside it when it is closed", () => {
		const place = folder();
		// As a cut while it was made would leave it.
		writeFileSync(join(place, "a.sqlite.new"), "half");
		const archive = new Archive(join(place, "a.sqlite"), { create: true });
		archive.add(STORE, batchOf(chainedRecords(drawLog(1))));
		archive.close();
		expect(readdirSync(place)).toEqual(["a.sqlite"]);
	});

	it("is not made where none was asked for", () => {
		const file = join(folder(), "none.sqlite");
		expect(() => new Archive(file, { create: false })).toThrow("no such archive");
		expect(existsSync(file)).toBe(false);
	});
});
