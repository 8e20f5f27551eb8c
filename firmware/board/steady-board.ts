// A board that outlives its line: a cable that comes off and is put back, a board that is reset or
// hangs, need no new process. While it is away its readings grow old and what is driven is lost;
// when its line is back the next tick sets it up anew and drives it. Imports the board's own files.

import type { PinMap } from "../config/pins.ts";
import type { FirmataBoard } from "./firmata.ts";
import { openFirmataBoard } from "./opening.ts";
import { READY_MS_MAX, REOPEN_MS } from "./patience.ts";
import { ALL_OFF, type Board, type Outputs, type Readings } from "./port.ts";
import { LOOK_EVERY_MS, type OpenLine, SteadyLine } from "./steady-line.ts";

/** Heard within it, it is back, ms. */
const BACK_MS = 1_000;

export type BoardNews = "lost" | "silent" | "back";

export interface SteadyParts {
	readonly open: OpenLine;
	readonly pins: PinMap;
	/** Monotonic milliseconds. */
	readonly clock: () => number;
	/** Input channels that the rig lacks. */
	readonly notFitted?: readonly string[];
	/** Told when the board goes and when it answers again; why, where that is known. */
	readonly tell?: (news: BoardNews, why?: string) => void;
}

export class SteadyBoard implements Board {
	private readonly parts: SteadyParts;
	private readonly line: SteadyLine;
	private board: FirmataBoard | null = null;
	/** When the line was last opened. */
	private openedMs = 0;
	private patienceMs = REOPEN_MS;
	private isAway = false;
	private hasEnded = false;

	private constructor(parts: SteadyParts) {
		this.parts = parts;
		this.line = new SteadyLine(parts.open);
	}

	/** A board that is there. @throws what the line's opening throws, or when nobody answers */
	static async open(parts: SteadyParts): Promise<SteadyBoard> {
		const steady = new SteadyBoard(parts);
		try {
			await steady.line.open();
			await steady.meet();
		} catch (error) {
			steady.end();
			throw error;
		}
		return steady;
	}

	/** One that may come later: until then nothing was ever heard of it. */
	static expect(parts: SteadyParts): SteadyBoard {
		const steady = new SteadyBoard(parts);
		steady.isAway = true;
		void steady.wait();
		return steady;
	}

	read(): Readings {
		return this.board?.read() ?? {};
	}

	drive(outputs: Outputs): void {
		const { board, line } = this;
		if (board === null) return;
		board.drive(outputs);
		const { silentMs } = board;
		if (silentMs < BACK_MS) this.patienceMs = REOPEN_MS;
		if (this.isAway && line.isUp && silentMs < BACK_MS) {
			this.isAway = false;
			this.parts.tell?.("back");
		}
		const { patienceMs } = this;
		const isNew = this.parts.clock() - this.openedMs < patienceMs;
		if (silentMs < patienceMs || isNew || !line.isUp) return;
		if (!this.isAway) this.parts.tell?.("silent");
		this.isAway = true;
		this.patienceMs = READY_MS_MAX;
		line.drop();
	}

	/** Lets go of the line for good. */
	end(): void {
		this.hasEnded = true;
		this.line.end();
	}

	private async wait(): Promise<void> {
		let firstMs = 0;
		while (!this.hasEnded) {
			await this.line.look(firstMs);
			// One that goes away again at once is not opened without a pause.
			firstMs = LOOK_EVERY_MS;
			try {
				await this.meet();
				return;
			} catch (error) {
				if (this.hasEnded) return;
				this.parts.tell?.("silent", error instanceof Error ? error.message : String(error));
				this.line.drop();
			}
		}
	}

	private async meet(): Promise<void> {
		const { parts, line } = this;
		const { pins, clock, notFitted } = parts;
		const board = await openFirmataBoard(line, pins, clock, notFitted);
		board.drive(ALL_OFF);
		line.met();
		this.openedMs = clock();
		line.on("lost", () => this.lookAgain());
		this.board = board;
		// It may have gone in the moment before anybody listened.
		if (!line.isUp) this.lookAgain();
	}

	private lookAgain(): void {
		if (this.hasEnded) return;
		if (!this.isAway) this.parts.tell?.("lost");
		this.isAway = true;
		const { clock } = this.parts;
		void this.line.look().then(() => {
			this.openedMs = clock();
			this.board?.setUpAnew();
		});
	}
}
