// The record store as the controller's thread sees it: hand over and go on. What is durable comes
// back as a number, and goes into the next tick as an input. Where the disk gives no store there is
// one all the same, which has failed: the controller has to run, and to say why it pumps nothing.

import { randomUUID } from "node:crypto";
import { Worker } from "node:worker_threads";
import { messageOf } from "../config/input-error.ts";
import type { LogState } from "../intake.ts";
import type { EncodedBatch } from "../link/batch.ts";
import type { BatchWant } from "../link/server.ts";
import type { WindowPartWant } from "../link/window-part.ts";
import type { StoredRecord } from "./chain.ts";
import type { LastRecord } from "./database.ts";
import type { Origin } from "./kept-run.ts";
import type { PinnedWindow } from "./pinned-windows.ts";
import type { LogRecord } from "./record.ts";
import { RefusedStore } from "./soundness.ts";
import type { RingBatch, StoreReply, StoreRequest, StoreWork } from "./store-worker.ts";
import type { WindowFacts } from "./window-filler.ts";

/** From a cold disk that gives 4 MB/s, 256 MB of it checked, and as much time to spare, ms. */
const OPEN_MS_MAX = 120_000;
const CLOSE_MS_MAX = 30_000;

/** Replies to what was asked under an id. */
type Answer = Exclude<Extract<StoreReply, { readonly id: number }>, { type: "unreadable" }>;
type AnswerTo<T extends Answer["type"]> = Extract<Answer, { readonly type: T }>;

interface Asking {
	readonly resolve: (answer: Answer) => void;
	readonly reject: (error: Error) => void;
}

export interface StoreOptions {
	/** Size from which the samples of closed runs are thinned. */
	readonly bytesMax?: number;
	/** How long samples wait for company, ms. */
	readonly samplesWaitMs?: number;
	/** The built worker file. */
	readonly worker?: URL;
}

type Opening = Omit<Extract<StoreReply, { type: "open" }>, "type">;

const YOUNG_MB = 3;

export class Store {
	readonly storeId: string;
	/** All records of earlier boots but samples and digests, and the last sample. */
	readonly history: readonly LogRecord[];
	/** The newest record of earlier boots, known to this program or not. */
	readonly last: LastRecord;
	/** What became of a log that could not be read or made, in words; null when nothing is lost. */
	readonly lost: string | null;
	private readonly worker: Worker | null;
	private readonly asking = new Map<number, Asking>();
	private hasEnded = false;
	private durableSeq: number;
	/** What has been handed over and is not yet durable: last number and time of each hand-over. */
	private pending: Array<{ seq: number; atMs: number }> = [];
	private failedBecause: string | null = null;
	private asked = 0;

	private constructor(worker: Worker | null, { storeId, history, last, lost }: Opening) {
		this.worker = worker;
		this.storeId = storeId;
		this.history = history;
		this.last = last;
		this.lost = lost;
		this.durableSeq = last.seq;
		if (worker === null) {
			this.hasEnded = true;
			this.failedBecause = lost;
			return;
		}
		worker.on("message", (reply: StoreReply) => this.hear(reply));
		worker.on("error", (error) => {
			this.failedBecause ??= error.message;
		});
		worker.on("exit", () => {
			this.hasEnded = true;
			this.failedBecause ??= "the store's thread has ended";
			for (const { reject } of this.asking.values()) reject(new Error(this.failedBecause));
			this.asking.clear();
		});
	}

	/**
	 * A store, or one that has failed where the disk gives none.
	 * @throws RefusedStore when the file is not ours to use
	 */
	static async open(file: string, options: StoreOptions = {}): Promise<Store> {
		const { worker = new URL("store-worker.js", import.meta.url), ...limits } = options;
		const workerData: StoreWork = { file, ...limits };
		// Young objects of this thread live for a commit: it needs no more room for them.
		const resourceLimits = { maxYoungGenerationSizeMb: YOUNG_MB };
		const thread = new Worker(worker, { workerData, resourceLimits });
		const reply = await firstReply(thread).catch(
			(error): StoreReply => ({ type: "failed", why: messageOf(error) }),
		);
		if (reply.type === "open") return new Store(thread, reply);
		// Not waited for: a thread that hangs in the disk does not end.
		void thread.terminate();
		if (reply.type === "refused") throw new RefusedStore(reply.why);
		return Store.failed(reply.type === "failed" ? reply.why : "the store did not open");
	}

	/** Takes nothing, keeps nothing, and says why. */
	static failed(why: string): Store {
		const lost = `no record can be kept: ${why}`;
		const last = { seq: 0, boot: 0 };
		return new Store(null, { storeId: randomUUID(), history: [], last, lost });
	}

	/** Posts and returns at once. */
	append(records: readonly LogRecord[], ring: readonly RingBatch[]): void {
		if (this.failedBecause !== null) return;
		const last = records.at(-1);
		if (last !== undefined) this.pending.push({ seq: last.seq, atMs: performance.now() });
		if (last !== undefined || ring.length > 0) this.ask({ type: "append", records, ring });
	}

	state(): LogState {
		const [oldest] = this.pending;
		const ageMs = oldest === undefined ? 0 : Math.round(performance.now() - oldest.atMs);
		return { durableSeq: this.durableSeq, ageMs, failed: this.failedBecause !== null };
	}

	/** Why it has failed, or null while it works. */
	get failure(): string | null {
		return this.failedBecause;
	}

	/** Written with the next records: with what this boot decides. */
	begin(boot: number, origin: Origin): void {
		if (this.failedBecause !== null) return;
		this.ask({ type: "origin", origin: { boot, body: JSON.stringify(origin) } });
	}

	/** Durable records from `from` on, at most `max`. */
	async read(from: number, max: number): Promise<StoredRecord[]> {
		return (await this.inquire((id) => ({ type: "read", id, from, max }))).records;
	}

	/** The next log frame of what is wanted; null when there is none. */
	async batch(want: BatchWant): Promise<EncodedBatch | null> {
		return (await this.inquire((id) => ({ type: "batch", id, want }))).batch;
	}

	/** Windows of tick inputs that records after that one have pinned, some of them. */
	async windows(after: number): Promise<readonly PinnedWindow[]> {
		return (await this.inquire((id) => ({ type: "windows", id, after }))).windows;
	}

	/** Makes a window ready to be read; null when there is none. */
	async window(seq: number): Promise<WindowFacts | null> {
		return (await this.inquire((id) => ({ type: "window", id, seq }))).facts;
	}

	/** The next frame of a window; null when it has to be made ready anew. */
	async windowPart(want: WindowPartWant): Promise<Uint8Array | null> {
		return (await this.inquire((id) => ({ type: "window-part", id, want }))).payload;
	}

	/** Writes what is left and ends the thread. */
	async close(): Promise<void> {
		const { worker } = this;
		if (worker === null || this.hasEnded) return;
		const ended = new Promise<void>((resolve) => worker.once("exit", () => resolve()));
		this.ask({ type: "close" });
		// A disk that no longer answers must not keep the controller from ending.
		const timer = setTimeout(() => void worker.terminate(), CLOSE_MS_MAX);
		await ended;
		clearTimeout(timer);
	}

	private inquire<T extends Answer["type"]>(
		request: (id: number) => Extract<StoreRequest, { readonly type: T }>,
	): Promise<AnswerTo<T>> {
		this.asked += 1;
		const id = this.asked;
		if (this.hasEnded) return Promise.reject(new Error(this.failedBecause ?? "it has ended"));
		return new Promise((resolve, reject) => {
			const settle = (answer: Answer) => resolve(answer as AnswerTo<T>);
			this.asking.set(id, { resolve: settle, reject });
			this.ask(request(id));
		});
	}

	private ask(request: StoreRequest): void {
		this.worker?.postMessage(request);
	}

	private hear(reply: StoreReply): void {
		if (reply.type === "durable") {
			this.durableSeq = Math.max(this.durableSeq, reply.seq);
			this.pending = this.pending.filter(({ seq }) => seq > this.durableSeq);
		} else if (reply.type === "failed") this.failedBecause ??= reply.why;
		else if ("id" in reply) {
			const asking = this.asking.get(reply.id);
			this.asking.delete(reply.id);
			if (reply.type === "unreadable") asking?.reject(new Error(reply.why));
			else asking?.resolve(reply);
		}
	}
}

/** @throws Error when the thread ends, or the disk does not answer */
function firstReply(thread: Worker): Promise<StoreReply> {
	return new Promise((resolve, reject) => {
		const timer = setTimeout(() => reject(new Error("the disk does not answer")), OPEN_MS_MAX);
		const settle =
			<T>(done: (value: T) => void) =>
			(value: T) => {
				clearTimeout(timer);
				done(value);
			};
		thread.once("message", settle(resolve));
		thread.once("error", settle(reject));
		thread.once(
			"exit",
			settle(() => reject(new Error("the store's thread has ended"))),
		);
	});
}
