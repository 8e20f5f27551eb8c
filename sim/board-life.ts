// What has become of the board itself, whatever it is made of: it works, it hangs with its pins as
// they were, or it is dark (no supply, or held in reset) with its pins floating. How long it takes
// to boot is the board's own business. No clock: whoever looks owns the time.

import type { RigModel } from "./rig.ts";

/** The brown-out detector of a common board resets it below, V (data sheet of the ATmega328P). */
const BROWN_OUT_VOLTS = 2.7;

export type BoardDoes = "works" | "hangs" | "is dark";

export class BoardLife {
	/** How often it has begun anew. */
	begun = 0;
	private readonly model: RigModel;
	private does: BoardDoes = "works";
	/** It ran on too little supply for its clock: nothing but a reset ends that. */
	private isLost = false;

	constructor(model: RigModel) {
		this.model = model;
	}

	/** The cable to the computer is in. */
	get isPluggedIn(): boolean {
		return !this.model.has("usb-unplugged");
	}

	look(): BoardDoes {
		const { model } = this;
		// Nothing is broken and nothing was: the usual case, asked for each millisecond.
		if (model.faulty === false && this.does === "works") return "works";
		const before = this.does;
		const sags = model.has("board-browns-out");
		const isReset = sags && model.sizeOf("board-browns-out") < BROWN_OUT_VOLTS;
		if (!this.isPluggedIn || model.has("board-resets") || isReset) {
			this.isLost = false;
			this.does = "is dark";
			return this.does;
		}
		this.isLost ||= sags;
		const hangs = this.isLost || model.has("board-stops-answering");
		this.does = hangs ? "hangs" : "works";
		if (before === "is dark") this.begun += 1;
		return this.does;
	}

	/** The computer opens the port: its line resets a common board. */
	reset(): void {
		if (this.look() === "is dark") return;
		this.isLost = false;
		this.begun += 1;
	}
}
