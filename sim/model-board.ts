// The model board: reports what a board would, quantised, with ADC noise of one count from a
// seeded generator, and drives its outputs into the rig. A board that has stopped answering
// reports nothing new and takes no writes; its pins keep their levels.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { Board, Outputs, Reading, Readings } from "../firmware/board/port.ts";
import { type Channel, inputsOf, type PinMap, reportedChannels } from "../firmware/config/pins.ts";
import type { RigModel } from "./rig.ts";
import { Signals } from "./signals.ts";

export class ModelBoard implements Board {
	private readonly model: RigModel;
	private readonly countsMax: number;
	private readonly signals: Signals;
	private readonly inputs: ReadonlyArray<{ name: string; raw: () => number }>;
	/** Every name that is reported: a copy of it is filled sooner than an empty object. */
	private readonly blank: Readings;
	private readonly noise: () => number;
	private last: { readings: Readings; atMs: number } = { readings: {}, atMs: 0 };

	constructor(model: RigModel, pins: PinMap, seed: number) {
		this.model = model;
		this.countsMax = 2 ** pins.adc.bits - 1;
		this.signals = new Signals(model);
		this.inputs = inputsOf(pins).map(([name, channel]) => ({
			name,
			raw: this.reader(name, channel),
		}));
		const names = reportedChannels(pins);
		this.blank = Object.fromEntries(names.map((name) => [name, { raw: 1, ageMs: 0 }]));
		const random = xoroshiro128plus(seed);
		this.noise = () => uniformInt(random, -1, 1);
	}

	read(nowMs: number): Readings {
		if (this.model.has("board-stops-answering")) {
			const { readings, atMs } = this.last;
			const old = Object.entries(readings);
			return Object.fromEntries(old.map(([name, { raw }]) => [name, { raw, ageMs: nowMs - atMs }]));
		}
		const readings: Record<string, Reading> = { ...this.blank };
		for (const { name, raw } of this.inputs) {
			readings[name] = { raw: raw(), ageMs: 0 };
		}
		this.last = { readings, atMs: nowMs };
		return readings;
	}

	drive(outputs: Outputs): void {
		if (!this.model.has("board-stops-answering")) this.model.drive(outputs);
	}

	/** How a channel is read, settled once; raw counts as the board reports them. */
	private reader(name: string, channel: Channel): () => number {
		const { signals } = this;
		switch (channel.kind) {
			case "analog":
				return () => this.adc(signals.share(name, channel));
			case "i2c":
				return () => Math.round(signals.quantity(name) / channel.perCount) + this.noise();
			case "pulse":
				return () => Math.floor(signals.pulses());
			case "digital-in":
				return () => (signals.level(name) ? 1 : 0);
			case "digital-out":
				return () => 0;
		}
	}

	/** Counts of a voltage given as a share of the reference. */
	private adc(share: number): number {
		const { countsMax } = this;
		const counts = Math.floor(share * (countsMax + 1)) + this.noise();
		return Math.max(0, Math.min(countsMax, counts));
	}
}
