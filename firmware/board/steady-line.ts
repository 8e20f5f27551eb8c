// A serial line to the board that outlives its cable: who writes and listens here keeps this
// object, and under it the real line is opened anew, a try a second, whenever it was lost. What is
// written while it is away is lost, as on a cable that is out. Imports Node and types.

import { EventEmitter } from "node:events";
import type { Transport } from "./johnny-five.ts";

/** A real line, open. Its transport emits `close` when the other end is gone. */
export interface OpenedLine {
	readonly transport: Transport;
	close(): void;
	/** Told once a board has answered on it. */
	met?(): void;
}

/** One try to open it; rejects where it cannot be opened now. */
export type OpenLine = () => Promise<OpenedLine>;

export const LOOK_EVERY_MS = 1_000;

/** Emits `data`, and `lost` when the line has gone or was dropped. */
export class SteadyLine extends EventEmitter implements Transport {
	private readonly openOne: OpenLine;
	private line: OpenedLine | null = null;
	private timer: NodeJS.Timeout | undefined;
	private hasEnded = false;
	private readonly hear = (bytes: Buffer) => this.emit("data", bytes);
	private readonly lose = () => {
		this.letGo();
		this.emit("lost");
	};

	constructor(openOne: OpenLine) {
		super();
		this.openOne = openOne;
	}

	get isUp(): boolean {
		return this.line !== null;
	}

	/** One try. @throws what the opening throws, or an Error where this has ended meanwhile */
	async open(): Promise<void> {
		const line = await this.openOne();
		if (this.hasEnded) {
			line.close();
			throw new Error("the line has ended");
		}
		this.line = line;
		const { transport } = line;
		transport.on("data", this.hear);
		transport.once("close", this.lose);
	}

	/**
	 * Tries until it is open; it never rejects, and never resolves once this has ended.
	 * @param firstMs how long it waits before the first try
	 */
	look(firstMs = 0): Promise<void> {
		return new Promise((resolve) => {
			const tryLater = (ms: number) => {
				if (!this.hasEnded) this.timer = setTimeout(tryOnce, ms);
			};
			const tryOnce = () => {
				this.open().then(resolve, () => tryLater(LOOK_EVERY_MS));
			};
			if (firstMs > 0) tryLater(firstMs);
			else if (!this.hasEnded) tryOnce();
		});
	}

	/** A board has answered on the line that is open. */
	met(): void {
		this.line?.met?.();
	}

	write(bytes: Buffer, done?: () => void): unknown {
		if (this.line !== null) return this.line.transport.write(bytes, done);
		done?.();
		return true;
	}

	/** Closes it on purpose: opening it anew resets a common board. */
	drop(): void {
		const { line } = this;
		if (line === null) return;
		// Closed before anybody hears of it: who then opens it anew would find it taken.
		this.letGo();
		line.close();
		this.emit("lost");
	}

	/** For good. */
	end(): void {
		this.hasEnded = true;
		clearTimeout(this.timer);
		this.drop();
	}

	private letGo(): void {
		if (this.line === null) return;
		const { transport } = this.line;
		this.line = null;
		transport.removeListener("data", this.hear);
		transport.removeListener("close", this.lose);
	}
}
