// The store's real thread. It checkpoints after fewer commits than aboard, so that a short run has
// some checkpoints; and one rule is spoilt where the workload names a canary.

import { getEnvironmentData, parentPort } from "node:worker_threads";
import type Database from "better-sqlite3";
import { StoreFile } from "../../firmware/log/database.ts";

const spoilt = getEnvironmentData("spoilt");
/** Long enough for who waits to hear of it and to say so, ms. */
const HEARD_MS = 30;

/** 250 aboard. */
const CHECKPOINT_COMMITS = 25;

interface Inside {
	readonly db: Database.Database;
	readonly commits: number;
	isCheckpointDue(): boolean;
}
const prototype = StoreFile.prototype as unknown as Inside;
const { isCheckpointDue } = prototype;
prototype.isCheckpointDue = function isDueEarly() {
	return this.commits >= CHECKPOINT_COMMITS || isCheckpointDue.call(this);
};

const { write } = StoreFile.prototype;
const spoilers: Readonly<Record<string, (store: StoreFile, lastSeq: number) => void>> = {
	"synchronous-normal": (store) => (store as unknown as Inside).db.pragma("synchronous = NORMAL"),
	"answer-before-commit": (_, seq) => {
		parentPort?.postMessage({ type: "durable", seq });
		Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, HEARD_MS);
	},
};
const spoil = spoilers[String(spoilt)];
if (spoil !== undefined) {
	StoreFile.prototype.write = function spoiltWrite(records, ring, origin) {
		spoil(this, records.at(-1)?.seq ?? 0);
		write.call(this, records, ring, origin);
	};
}

await import("../../firmware/log/store-worker.ts");
