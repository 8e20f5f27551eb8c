// The rig model as the board of a controller in real time, stepped up to the moment of each
// reading. Loaded only where it is asked for: a controller beside a real pump does not carry it.

import type { Board } from "../../firmware/board/port.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { ModelBoard } from "../../sim/model-board.ts";
import { RigModel } from "../../sim/rig.ts";
import { standingWorld } from "../../sim/standing-world.ts";

const MODEL_SLICE_MS = 10;

export class RealTimeModel implements Board {
	private readonly model: RigModel;
	private readonly board: ModelBoard;
	private steppedMs = 0;

	constructor(rig: Rig, pins: PinMap) {
		this.model = new RigModel(rig, standingWorld(rig, 0));
		this.board = new ModelBoard(this.model, pins, 1);
	}

	read(nowMs: number) {
		for (; this.steppedMs + MODEL_SLICE_MS <= nowMs; this.steppedMs += MODEL_SLICE_MS) {
			this.model.step(MODEL_SLICE_MS / 1000);
		}
		return this.board.read(nowMs);
	}

	drive(outputs: Parameters<Board["drive"]>[0]): void {
		this.board.drive(outputs);
	}
}
