// The process whose system calls are recorded: the real store with its thread, driven through one
// chapter of a story that the test hands over as JSON. It tells each durable answer in a file of
// its own. Runs from the build.

import { openSync, readFileSync, writeSync } from "node:fs";
import { join } from "node:path";
import { setEnvironmentData } from "node:worker_threads";
import type { LogRecord } from "../../firmware/log/record.ts";
import { Store } from "../../firmware/log/store.ts";
import type { RingBatch } from "../../firmware/log/store-worker.ts";

/** What is handed to the store at once. Its last record's answer is waited for. */
export interface Step {
	readonly records: readonly LogRecord[];
	readonly ring: readonly RingBatch[];
}

/** One boot of the computer aboard, as far as the store sees it. */
export interface Chapter {
	readonly folder: string;
	readonly ackFile: string;
	readonly steps: readonly Step[];
	/** See worker.ts; empty for the rule as it is. */
	readonly spoilt: string;
	/** Size from which samples are thinned. */
	readonly bytesMax: number;
	/** A controller that is killed closes nothing. */
	readonly ends: "closed" | "killed";
}

/** With what each boot decides, as far as the store cares. */
const ORIGIN = { logic: { version: "0", hash: "invented" }, rig: {}, pins: {} };

const ANSWER_MS_MAX = 20_000;
/** Samples need not wait for company here: who sends them waits for each answer. */
const SAMPLES_WAIT_MS = 1;
/** Thinning goes on while nobody asks for anything. */
const REST_MS = 300;

async function play({ folder, ackFile, steps, spoilt, bytesMax, ends }: Chapter): Promise<void> {
	const ack = openSync(ackFile, "a");
	setEnvironmentData("spoilt", spoilt);
	const worker = new URL("./worker.js", import.meta.url);
	const options = { worker, bytesMax, samplesWaitMs: SAMPLES_WAIT_MS };
	const store = await Store.open(join(folder, "log.sqlite"), options);
	for (const { records, ring } of steps) {
		for (const { kind, boot } of records) if (kind === "boot") store.begin(boot, ORIGIN);
		store.append(records, ring);
		const seq = records.at(-1)?.seq ?? 0;
		await durable(store, seq);
		writeSync(ack, `ack ${seq}\n`);
	}
	await new Promise((resolve) => setTimeout(resolve, REST_MS));
	if (store.failure !== null) throw new Error(store.failure);
	if (ends === "closed") await store.close();
	// Ending in any other way would let SQLite close its files.
	else process.kill(process.pid, "SIGKILL");
}

async function durable(store: Store, seq: number): Promise<void> {
	const until = performance.now() + ANSWER_MS_MAX;
	while (store.state().durableSeq < seq) {
		if (store.failure !== null) throw new Error(store.failure);
		if (performance.now() > until) throw new Error(`record ${seq} has not become durable`);
		await new Promise((resolve) => setImmediate(resolve));
	}
}

const [chapterFile = ""] = process.argv.slice(2);
await play(JSON.parse(readFileSync(chapterFile, "utf8")) as Chapter);
