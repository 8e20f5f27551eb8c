// Fetches a stretch of a log over a client, until it is there, the line is lost, or somebody has
// seen enough. fetch.ts decides what is asked for; here are the clock, the frames and the line.

import { randomInt } from "node:crypto";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { type Batch, decodeLogPayload } from "../../firmware/link/batch.ts";
import { type LinkNotice, RPC_ERROR, results, type Status } from "../../firmware/link/protocol.ts";
import { BadBytes } from "../../firmware/log/varint.ts";
import type { LinkClient } from "./client.ts";
import { type Ask, Fetch } from "./fetch.ts";
import { Parts } from "./parts.ts";

export interface Stretch {
	readonly from: number;
	/** The last record wanted; null follows what becomes durable. */
	readonly to: number | null;
}

export interface FetchParts {
	/** Takes batches as they become complete, in order; what it throws ends the fetch. */
	readonly onBatches: (batches: readonly Batch[]) => void;
	/** While following: what the controller says of itself, about once a second. */
	readonly onStatus?: (status: Status) => void;
	/** Bytes of log frames that have come. */
	readonly onBytes?: (bytes: number) => void;
	/** Ends it early; what is complete by then is handed on. */
	readonly signal?: AbortSignal;
}

export type FetchEnd = "done" | "ended" | "lost";

const LOOK_EVERY_MS = 100;
const STATUS_EVERY_MS = 1_000;
/** Nothing but silence for so long is a line whose other end has gone, ms. */
const GONE_MS = 10_000;
/** Batches are handed on together: the archive makes each hand-over durable. */
const HAND_ON = 32;
const REFUSALS_MAX = 3;

/** What is wanted and what has come of it; outlives the line that it comes over. */
export class LogFetch {
	private readonly fetch: Fetch<Batch>;
	private readonly pieces = new Parts();
	private isBegun = false;

	constructor({ from, to }: Stretch) {
		// Starts anywhere: a frame for an earlier program on this line must not pass for ours.
		const transfer = randomInt(1, 2 ** 24);
		this.fetch = new Fetch({ from, to, transfer }, performance.now());
	}

	/**
	 * Goes on over this client.
	 * @throws InputError when the controller refuses again and again
	 * @throws what `onBatches` throws
	 */
	over(client: LinkClient, parts: FetchParts): Promise<FetchEnd> {
		if (this.isBegun) this.fetch.resume(performance.now());
		this.isBegun = true;
		return new Fetching(client, this.fetch, this.pieces, parts).end;
	}
}

class Fetching {
	readonly end: Promise<FetchEnd>;
	private readonly client: LinkClient;
	private readonly parts: FetchParts;
	private readonly fetch: Fetch<Batch>;
	private readonly pieces: Parts;
	/** Complete, not handed on yet. */
	private ready: Batch[] = [];
	private heardMs = performance.now();
	private statusMs = 0;
	private refusals = 0;
	private readonly timer: NodeJS.Timeout;
	private settle: (end: FetchEnd) => void = () => {};
	private fail: (error: unknown) => void = () => {};
	private isOver = false;
	private readonly onAbort = () => this.finish("ended");

	constructor(client: LinkClient, fetch: Fetch<Batch>, pieces: Parts, parts: FetchParts) {
		this.client = client;
		this.fetch = fetch;
		this.pieces = pieces;
		this.parts = parts;
		this.end = new Promise((resolve, reject) => {
			this.settle = resolve;
			this.fail = reject;
		});
		client.listen({
			records: (payload) => this.hear(payload),
			notice: (notice) => this.hearPause(notice),
		});
		void client.lost.then(() => this.finish("lost"));
		parts.signal?.addEventListener("abort", this.onAbort);
		this.timer = setInterval(() => this.look(), LOOK_EVERY_MS);
		if (fetch.isDone) this.finish("done");
		else if (parts.signal?.aborted === true) this.finish("ended");
		else this.sendAsks();
	}

	private hear(payload: Buffer): void {
		if (this.isOver) return;
		this.parts.onBytes?.(payload.length);
		const nowMs = performance.now();
		this.heardMs = nowMs;
		try {
			const frame = decodeLogPayload(payload);
			// One from a transfer of an earlier program on this line may be of another log.
			if (!this.fetch.knows(frame.transfer)) return;
			const batch = frame.type === "batch" ? frame : this.pieces.take(frame);
			if (batch !== null) this.fetch.take(frame.transfer, batch, nowMs);
			else if (frame.type === "part") this.fetch.takePart(frame.transfer, frame.seq, nowMs);
		} catch (error) {
			if (!(error instanceof BadBytes)) this.stop(error);
			return;
		}
		this.refusals = 0;
		this.ready.push(...this.fetch.takeReady());
		if (this.ready.length >= HAND_ON || this.fetch.isDone) this.handOn();
		this.sendAsks();
		if (this.fetch.isDone) this.finish("done");
	}

	private hearPause({ params }: LinkNotice): void {
		if (this.isOver) return;
		this.heardMs = performance.now();
		const { why } = params;
		// A store that cannot be read may be read again a little later.
		if (why === "failed") this.refuse("a log that cannot be read");
		this.fetch.pause({ ...params, why: why === "failed" ? "end" : why }, this.heardMs);
		this.sendAsks();
	}

	private look(): void {
		const nowMs = performance.now();
		this.handOn();
		if (this.isOver) return;
		if (nowMs - this.heardMs > GONE_MS) {
			this.finish("lost");
			return;
		}
		this.fetch.look(nowMs);
		this.sendAsks();
		if (this.parts.onStatus !== undefined && nowMs - this.statusMs > STATUS_EVERY_MS) {
			this.statusMs = nowMs;
			void this.askStatus();
		}
	}

	private async askStatus(): Promise<void> {
		const response = await this.client.ask("status", {});
		if (this.isOver || response === null || "error" in response) return;
		const status = results.status.safeParse(response.result);
		if (!status.success) return;
		this.heardMs = performance.now();
		this.fetch.learn(status.data.durableSeq);
		this.parts.onStatus?.(status.data);
	}

	private sendAsks(): void {
		if (this.isOver) return;
		for (const ask of this.fetch.takeAsks()) void this.send(ask);
	}

	private async send(ask: Ask): Promise<void> {
		const askedMs = performance.now();
		const response = await asked(this.client, ask);
		if (this.isOver || response === null) return;
		this.heardMs = performance.now();
		if (!("error" in response)) {
			this.fetch.answered(ask.params.transfer, this.heardMs - askedMs, this.heardMs);
			return;
		}
		// Credit for a transfer that is over, or one too many: the next look asks anew.
		const { code, message } = response.error;
		if (ask.method === "log.read" && code !== RPC_ERROR.busy) this.refuse(`an error: ${message}`);
	}

	private refuse(found: string): void {
		this.refusals += 1;
		if (this.refusals < REFUSALS_MAX) return;
		this.stop(new InputError([{ file: "log.read", found, allowed: "a log that can be read" }]));
	}

	private handOn(): void {
		const batches = this.ready;
		this.ready = [];
		if (batches.length === 0) return;
		try {
			this.parts.onBatches(batches);
		} catch (error) {
			this.stop(error);
		}
	}

	private finish(end: FetchEnd): void {
		if (this.isOver) return;
		this.handOn();
		if (!this.close()) return;
		// A courtesy: without it the controller goes on up to the end of the credit.
		const { mainTransfer } = this.fetch;
		if (end === "ended") void this.client.ask("log.cancel", { transfer: mainTransfer });
		this.settle(end);
	}

	private stop(error: unknown): void {
		if (this.close()) this.fail(error instanceof Error ? error : new Error(messageOf(error)));
	}

	/** @returns false when it was closed before */
	private close(): boolean {
		if (this.isOver) return false;
		this.isOver = true;
		clearInterval(this.timer);
		this.parts.signal?.removeEventListener("abort", this.onAbort);
		return true;
	}
}

function asked(client: LinkClient, ask: Ask) {
	switch (ask.method) {
		case "log.read":
			return client.ask(ask.method, ask.params);
		case "log.more":
			return client.ask(ask.method, ask.params);
	}
}
