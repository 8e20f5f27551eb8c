// The record store's thread: writes, reads and compression happen here, so that a slow disk never
// makes a tick late. What arrives together is committed together; samples alone wait up to a second
// for company. Checkpoints and thinning come piece by piece in between. After a failure it says so
// and writes no more, since what is on disk is not known then; it can still be read.

import { parentPort, workerData } from "node:worker_threads";
import { deflateRawSync } from "node:zlib";
import { messageOf } from "../config/input-error.ts";
import type { EncodedBatch } from "../link/batch.ts";
import { FrameFiller } from "../link/frame-filler.ts";
import type { BatchWant } from "../link/server.ts";
import type { WindowPartWant } from "../link/window-part.ts";
import type { StoredRecord } from "./chain.ts";
import type { LastRecord, RingRow, StoreFile } from "./database.ts";
import type { BootOrigin, PinnedWindow } from "./pinned-windows.ts";
import type { LogRecord } from "./record.ts";
import { RefusedStore } from "./soundness.ts";
import { openStore } from "./store-opening.ts";
import { type WindowFacts, WindowFiller } from "./window-filler.ts";

/** What the thread is started with. */
export interface StoreWork {
	readonly file: string;
	readonly bytesMax?: number;
	readonly samplesWaitMs?: number;
}

/** A second of ticks as the controller's thread hands it over. */
export interface RingBatch {
	readonly boot: number;
	readonly fromMs: number;
	readonly toMs: number;
	readonly state: unknown;
	readonly inputs: unknown;
}

export type StoreRequest =
	| {
			readonly type: "append";
			readonly records: readonly LogRecord[];
			readonly ring: readonly RingBatch[];
	  }
	| { readonly type: "origin"; readonly origin: BootOrigin }
	| { readonly type: "read"; readonly id: number; readonly from: number; readonly max: number }
	| { readonly type: "batch"; readonly id: number; readonly want: BatchWant }
	| { readonly type: "windows"; readonly id: number; readonly after: number }
	| { readonly type: "window"; readonly id: number; readonly seq: number }
	| { readonly type: "window-part"; readonly id: number; readonly want: WindowPartWant }
	| { readonly type: "close" };

export type StoreReply =
	| {
			readonly type: "open";
			readonly storeId: string;
			readonly history: LogRecord[];
			readonly last: LastRecord;
			readonly lost: string | null;
	  }
	| { readonly type: "refused"; readonly why: string }
	| { readonly type: "durable"; readonly seq: number }
	| { readonly type: "failed"; readonly why: string }
	| { readonly type: "read"; readonly id: number; readonly records: StoredRecord[] }
	| { readonly type: "batch"; readonly id: number; readonly batch: EncodedBatch | null }
	| { readonly type: "windows"; readonly id: number; readonly windows: readonly PinnedWindow[] }
	| { readonly type: "window"; readonly id: number; readonly facts: WindowFacts | null }
	| { readonly type: "window-part"; readonly id: number; readonly payload: Uint8Array | null }
	| { readonly type: "unreadable"; readonly id: number; readonly why: string }
	| { readonly type: "closed" };

/** What is answered under its id. */
type Question = Extract<StoreRequest, { readonly id: number }>;

const SAMPLES_WAIT_MS = 1_000;

const port = parentPort;
if (port === null) throw new Error("the store's worker runs in a thread of its own");
const say = (reply: StoreReply) => port.postMessage(reply);

const filler = new FrameFiller();
const windows = new WindowFiller();
const { file, bytesMax, samplesWaitMs = SAMPLES_WAIT_MS } = workerData as StoreWork;
let store: StoreFile | null = null;
let hasFailed = false;
let records: LogRecord[] = [];
let ring: RingRow[] = [];
/** Not written yet. */
let origin: BootOrigin | null = null;
let soon: NodeJS.Immediate | undefined;
let later: NodeJS.Timeout | undefined;
let tidying: NodeJS.Immediate | undefined;
const asked: Question[] = [];

try {
	const { store: opened, ...found } = openStore(file, bytesMax);
	store = opened;
	say({ type: "open", storeId: store.storeId, ...found });
	tidyLater();
} catch (error) {
	const why = messageOf(error);
	if (error instanceof RefusedStore) say({ type: "refused", why });
	else fail(error);
}

port.on("message", (request: StoreRequest) => {
	if (request.type === "append") take(request.records, request.ring);
	else if (request.type === "origin") origin = request.origin;
	else if (request.type !== "close") answer(request);
	else {
		flush();
		for (const request of asked.splice(0)) {
			if (!tryAnswer(request)) say({ type: "unreadable", id: request.id, why: "it is closing" });
		}
		clearImmediate(tidying);
		store?.close();
		say({ type: "closed" });
		port.close();
	}
});

/** Reads one thing in each turn of the loop, so that a record waits for one of them at most. */
function answer(request: Question): void {
	asked.push(request);
	if (asked.length === 1) setImmediate(answerNext);
}

/** What takes several turns goes behind what waits. */
function answerNext(): void {
	const request = asked.shift();
	if (request !== undefined && !tryAnswer(request)) asked.push(request);
	if (asked.length > 0) setImmediate(answerNext);
}

/** @returns false when it is not done yet */
function tryAnswer(request: Question): boolean {
	try {
		const reply = replyTo(request);
		if (reply === null) return false;
		say(reply);
	} catch (error) {
		say({ type: "unreadable", id: request.id, why: messageOf(error) });
	}
	return true;
}

/** @returns null when it is not done yet */
function replyTo(request: Question): StoreReply | null {
	const { type, id } = request;
	switch (type) {
		case "read":
			return { type, id, records: store?.read(request.from, request.max) ?? [] };
		case "batch":
			return { type, id, batch: store === null ? null : filler.fill(store, request.want) };
		case "windows":
			return { type, id, windows: store?.windows.after(request.after) ?? [] };
		case "window": {
			const facts = store === null ? null : windows.step(store, request.seq);
			return facts === undefined ? null : { type, id, facts };
		}
		case "window-part":
			return { type, id, payload: windows.part(request.want) };
	}
}

function take(more: readonly LogRecord[], batches: readonly RingBatch[]): void {
	if (store === null || hasFailed) return;
	records.push(...more);
	for (const { boot, fromMs, toMs, state, inputs } of batches) {
		const packed = deflateRawSync(JSON.stringify(inputs), { level: 3 });
		ring.push({ boot, fromMs, toMs, state: JSON.stringify(state), inputs: packed });
	}
	const urgent = more.some(({ kind }) => kind !== "sample");
	if (urgent) soon ??= setImmediate(flush);
	else later ??= setTimeout(flush, samplesWaitMs);
}

function flush(): void {
	clearImmediate(soon);
	clearTimeout(later);
	soon = undefined;
	later = undefined;
	if (store === null || hasFailed || (records.length === 0 && ring.length === 0)) return;
	const last = records.at(-1);
	try {
		store.write(records, ring, origin);
		origin = null;
		if (last !== undefined) say({ type: "durable", seq: last.seq });
	} catch (error) {
		fail(error);
	}
	records = [];
	ring = [];
	tidyLater();
}

/** A piece at a time, so that a record which comes meanwhile waits for one piece at most. */
function tidyLater(): void {
	if (hasFailed || tidying !== undefined) return;
	tidying = setImmediate(() => {
		tidying = undefined;
		try {
			if (store === null || hasFailed || !store.isUntidy()) return;
			store.tidy();
			tidyLater();
		} catch (error) {
			fail(error);
		}
	});
}

function fail(error: unknown): void {
	hasFailed = true;
	say({ type: "failed", why: messageOf(error) });
}
