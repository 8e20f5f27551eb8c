// The record store as the controller's thread sees it: hand over and go on. What is durable comes
// back as a number, and goes into the next tick as an input.

import { Worker } from "node:worker_threads";
import type { LogState } from "../intake.ts";
import type { EncodedBatch } from "../link/batch.ts";
import type { BatchWant } from "../link/server.ts";
import type { StoredRecord } from "./database.ts";
import type { LogRecord } from "./record.ts";
import type { RingBatch, StoreReply, StoreRequest } from "./store-worker.ts";

/** From a cold disk, ms. */
const OPEN_MS_MAX = 30_000;
const CLOSE_MS_MAX = 30_000;

interface Reading<T> {
	readonly resolve: (found: T) => void;
	readonly reject: (error: Error) => void;
}

export class Store {
	readonly storeId: string;
	/** All records of earlier boots but the samples. */
	readonly history: readonly LogRecord[];
	private readonly worker: Worker;
	private readonly reads = new Map<number, Reading<StoredRecord[]>>();
	private readonly batches = new Map<number, Reading<EncodedBatch | null>>();
	private hasEnded = false;
	private durableSeq: number;
	/** What has been handed over and is not yet durable: last number and time of each hand-over. */
	private pending: Array<{ seq: number; atMs: number }> = [];
	private failedBecause: string | null = null;
	private asked = 0;

	private constructor(worker: Worker, storeId: string, history: readonly LogRecord[]) {
		this.worker = worker;
		this.storeId = storeId;
		this.history = history;
		this.durableSeq = history.at(-1)?.seq ?? 0;
		worker.on("message", (reply: StoreReply) => this.hear(reply));
		worker.on("error", (error) => {
			this.failedBecause ??= error.message;
		});
		worker.on("exit", () => {
			this.hasEnded = true;
			this.failedBecause ??= "the store's thread has ended";
			for (const asked of [this.reads, this.batches]) {
				for (const { reject } of asked.values()) reject(new Error(this.failedBecause));
				asked.clear();
			}
		});
	}

	/**
	 * @param worker the built worker file
	 * @throws Error when the file cannot be opened as a store
	 */
	static async open(file: string, worker = new URL("store-worker.js", import.meta.url)) {
		const thread = new Worker(worker, { workerData: { file } });
		const reply = await new Promise<StoreReply>((resolve, reject) => {
			const timer = setTimeout(() => reject(new Error("the disk does not answer")), OPEN_MS_MAX);
			thread.once("message", (first: StoreReply) => {
				clearTimeout(timer);
				resolve(first);
			});
			thread.once("error", reject);
		});
		if (reply.type === "open") return new Store(thread, reply.storeId, reply.history);
		await thread.terminate();
		throw new Error(reply.type === "failed" ? reply.why : "the store did not open");
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

	/** Durable records from `from` on, at most `max`. */
	read(from: number, max: number): Promise<StoredRecord[]> {
		return this.inquire(this.reads, (id) => ({ type: "read", id, from, max }));
	}

	/** The next log frame of what is wanted; null when there is none. */
	batch(want: BatchWant): Promise<EncodedBatch | null> {
		return this.inquire(this.batches, (id) => ({ type: "batch", id, want }));
	}

	/** Writes what is left and ends the thread. */
	async close(): Promise<void> {
		if (this.hasEnded) return;
		const ended = new Promise<void>((resolve) => this.worker.once("exit", () => resolve()));
		this.ask({ type: "close" });
		// A disk that no longer answers must not keep the controller from ending.
		const timer = setTimeout(() => void this.worker.terminate(), CLOSE_MS_MAX);
		await ended;
		clearTimeout(timer);
	}

	private inquire<T>(
		asked: Map<number, Reading<T>>,
		request: (id: number) => StoreRequest,
	): Promise<T> {
		this.asked += 1;
		const id = this.asked;
		if (this.hasEnded) return Promise.reject(new Error("the store's thread has ended"));
		return new Promise((resolve, reject) => {
			asked.set(id, { resolve, reject });
			this.ask(request(id));
		});
	}

	private ask(request: StoreRequest): void {
		this.worker.postMessage(request);
	}

	private hear(reply: StoreReply): void {
		if (reply.type === "durable") {
			this.durableSeq = Math.max(this.durableSeq, reply.seq);
			this.pending = this.pending.filter(({ seq }) => seq > this.durableSeq);
		} else if (reply.type === "failed") this.failedBecause ??= reply.why;
		else if (reply.type === "read") {
			this.reads.get(reply.id)?.resolve(reply.records);
			this.reads.delete(reply.id);
		} else if (reply.type === "batch") {
			this.batches.get(reply.id)?.resolve(reply.batch);
			this.batches.delete(reply.id);
		} else if (reply.type === "unreadable") {
			const { id } = reply;
			(this.reads.get(id) ?? this.batches.get(id))?.reject(new Error(reply.why));
			this.reads.delete(id);
			this.batches.delete(id);
		}
	}
}
