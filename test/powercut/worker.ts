// The store's real thread with two things changed from outside, by the query of its address: pages
// of the write-ahead log after which SQLite checkpoints, so that a short run has some, and a spoilt
// rule for a canary. Nothing else differs from the thread aboard.

import { parentPort } from "node:worker_threads";
import Database from "better-sqlite3";
import { StoreFile } from "../../firmware/log/database.ts";

const query = new URL(import.meta.url).searchParams;
const spoilt = query.get("spoilt") ?? "";

const { pragma } = Database.prototype;
Database.prototype.pragma = function changed(this: Database.Database, source, options) {
	const answer = pragma.call(this, source, options);
	if (source === "synchronous = FULL") {
		pragma.call(this, `wal_autocheckpoint = ${query.get("checkpoint-pages") ?? 1000}`);
	}
	return answer;
};

const { write } = StoreFile.prototype;
StoreFile.prototype.write = function changed(this: StoreFile, records, ring) {
	const db = (this as unknown as { db: Database.Database }).db;
	if (spoilt === "normal") db.pragma("synchronous = NORMAL");
	if (spoilt === "early-answer") {
		parentPort?.postMessage({ type: "durable", seq: records.at(-1)?.seq ?? 0 });
		// The one who waits hears of it and says so before anything is written.
		Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, 50);
	}
	write.call(this, records, ring);
};

await import("../../firmware/log/store-worker.ts");
