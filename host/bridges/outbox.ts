// Messages on their way to one receiver: one at a time, the oldest first, a bounded number of them,
// and tried again where the receiver may come back. What goes wrong is told in few lines and never
// thrown. Imports nothing of Node.

import type { Message } from "./news.ts";

/** Null when it has been taken; else why not, and whether it never will be. */
export type Failure = { readonly why: string; readonly isFinal: boolean } | null;

export interface OutboxParts {
	/** As it is called where something is told of it. */
	readonly name: string;
	/** Settles in bounded time, and soon after the signal. Never rejects. */
	readonly send: (message: Message, signal: AbortSignal) => Promise<Failure>;
	/** One line for who looks at this computer's terminal. */
	readonly tell: (line: string) => void;
	/** Between two tries: at first, then doubled up to the most, ms. */
	readonly retryMs?: number;
	readonly retryMsMax?: number;
}

export const MESSAGES_MAX = 20;
const RETRY_MS = 2_000;
const RETRY_MS_MAX = 300_000;

export class Outbox {
	private readonly parts: OutboxParts;
	private readonly waiting: Message[] = [];
	private readonly ending = new AbortController();
	private working: Promise<void> | null = null;
	private wake: () => void = () => {};
	private failures = 0;
	private isDropTold = false;

	constructor(parts: OutboxParts) {
		this.parts = parts;
	}

	get size(): number {
		return this.waiting.length;
	}

	/** Where there are too many the oldest goes; one that tells of no trip before one that does. */
	put(message: Message): void {
		if (this.ending.signal.aborted) return;
		if (this.waiting.length >= MESSAGES_MAX) {
			const other = this.waiting.findIndex(({ trip }) => trip === "");
			this.waiting.splice(Math.max(0, other), 1);
			if (!this.isDropTold) this.tell("takes nothing: the oldest messages are thrown away");
			this.isDropTold = true;
		}
		this.waiting.push(message);
		this.wake();
		this.working ??= this.work();
	}

	/** Nothing more is taken; what is on its way has so long to arrive. */
	async end(patienceMs: number): Promise<void> {
		const last = this.working;
		const timer = setTimeout(() => this.ending.abort(), patienceMs);
		// Who waits for a receiver that is away waits no longer.
		if (this.failures > 0) this.ending.abort();
		this.wake();
		await last;
		clearTimeout(timer);
		this.ending.abort();
	}

	private async work(): Promise<void> {
		for (;;) {
			const [message] = this.waiting;
			if (message === undefined || this.ending.signal.aborted) break;
			const failure = await this.parts.send(message, this.ending.signal);
			if (failure === null) this.succeed(message);
			else await this.fail(message, failure);
		}
		this.working = null;
	}

	private succeed(message: Message): void {
		this.take(message);
		if (this.failures > 0) this.tell("takes messages again");
		this.failures = 0;
		this.isDropTold = false;
	}

	private async fail(message: Message, { why, isFinal }: NonNullable<Failure>): Promise<void> {
		if (this.ending.signal.aborted) return;
		if (isFinal) {
			this.take(message);
			this.tell(`${why}; "${message.event}" is not told`);
			return;
		}
		this.failures += 1;
		if (this.failures === 1) this.tell(`${why}; it is tried again`);
		await this.wait();
	}

	/** It may have made room for a newer one meanwhile. */
	private take(message: Message): void {
		const place = this.waiting.indexOf(message);
		if (place >= 0) this.waiting.splice(place, 1);
	}

	/** Until the next try; a message that comes in between is one more reason to try. */
	private wait(): Promise<void> {
		const { retryMs = RETRY_MS, retryMsMax = RETRY_MS_MAX } = this.parts;
		const ms = Math.min(retryMsMax, retryMs * 2 ** Math.min(30, this.failures - 1));
		return new Promise((resolve) => {
			const timer = setTimeout(resolve, ms);
			this.wake = () => {
				clearTimeout(timer);
				resolve();
			};
		});
	}

	private tell(what: string): void {
		this.parts.tell(`${this.parts.name}: ${what}`);
	}
}
