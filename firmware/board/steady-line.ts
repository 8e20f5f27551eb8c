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

const LOOK_EVERY_MS = 1_000;

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

	/** One try. @throws what the opening throws */
	async open(): Promise<void> {
		const line = await this.openOne();
		if (this.hasEnded) {
			line.close();
			return;
		}
		this.line = line;
		const { transport } = line;
		transport.on("data", this.hear);
		transport.once("close", this.lose);
	}

	/** Tries until it is open; it never rejects, and never resolves once this has ended. */
	look(): Promise<void> {
		return new Promise((resolve) => {
			const tryOnce = () => {
				if (this.hasEnded) return;
				this.open().then(resolve, () => {
					this.timer = setTimeout(tryOnce, LOOK_EVERY_MS);
				});
			};
			tryOnce();
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
		this.lose();
		line.close();
	}

	/** For good. */
	end(): void {
		this.hasEnded = true;
		clearTimeout(this.timer);
		const { line } = this;
		this.letGo();
		line?.close();
	}

	private letGo(): void {
		if (this.line === null) return;
		const { transport } = this.line;
		this.line = null;
		transport.removeListener("data", this.hear);
		transport.removeListener("close", this.lose);
	}
}
