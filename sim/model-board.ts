// The model board: reports what a board would, quantised, with converter noise of one count from a
// seeded generator, and drives its outputs into the rig. A board that has stopped answering
// reports nothing new and takes no writes; its pins keep their levels. A device that does not
// answer leaves its channels to grow old.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import {
	type Board,
	type Outputs,
	outputNames,
	type Reading,
	type Readings,
} from "../firmware/board/port.ts";
import {
	bitsOf,
	type Channel,
	inputsOf,
	type PinMap,
	reportedChannels,
} from "../firmware/config/pins.ts";
import type { RigModel } from "./rig.ts";
import { Signals } from "./signals.ts";

/** As a real board's: one pin is asked for its mode a tick, and believed the second time. */
const BEAT_TURN = outputNames.indexOf("dead-man-beat");
const WRONG_MODES = 2;

interface Input {
	readonly name: string;
	readonly raw: () => number;
}

/** Where an input's raw value is put. */
type Place = { raw: number };

export class ModelBoard implements Board {
	private readonly model: RigModel;
	private readonly signals: Signals;
	private readonly inputs: readonly Input[];
	/** What is reported while nothing is wrong: filled anew each time, so that nothing is made. */
	private readonly sound: Readings;
	/** Its places in the order of the inputs. */
	private readonly places: readonly Place[];
	/** Names of the channels that are read from an I2C device, by its address. */
	private readonly devices = new Map<number, string[]>();
	private readonly noise: () => number;
	private turn = 0;
	private wrongModes = 0;
	private last: { readings: Readings; atMs: number } = { readings: {}, atMs: 0 };

	constructor(model: RigModel, pins: PinMap, seed: number) {
		this.model = model;
		this.signals = new Signals(model, pins, seed);
		const random = xoroshiro128plus(seed);
		this.noise = () => uniformInt(random, -1, 1);
		const lacks = (name: string) => model.notFitted.includes(name);
		this.inputs = inputsOf(pins)
			.filter(([name]) => !lacks(name))
			.map(([name, channel]) => ({ name, raw: this.reader(name, channel, pins) }));
		for (const { name } of this.inputs) {
			const address = addressOf(pins.channels[name], pins);
			if (address === null) continue;
			this.devices.set(address, [...(this.devices.get(address) ?? []), name]);
		}
		const names = reportedChannels(pins).filter((name) => !lacks(name));
		const report = Object.fromEntries(names.map((name) => [name, { raw: 1, ageMs: 0 }]));
		this.sound = report;
		this.places = this.inputs.map(({ name }) => (report[name] ??= { raw: 1, ageMs: 0 }));
	}

	/** What it returns holds until the next reading. */
	read(nowMs: number): Readings {
		if (this.model.has("board-stops-answering")) {
			const aged = Object.keys(this.last.readings).map((name) => [name, this.aged(name, nowMs)]);
			return Object.fromEntries(aged);
		}
		if (!this.model.faulty && this.wrongModes < WRONG_MODES) return this.readSoundly(nowMs);
		const readings: Record<string, Reading> = { ...this.sound };
		for (const { name, raw } of this.inputs) readings[name] = { raw: raw(), ageMs: 0 };
		if (this.wrongModes >= WRONG_MODES) {
			// The beat's pin does not read back as driven either.
			readings["beat-mode"] = { raw: 0, ageMs: 0 };
			readings.board = { raw: 0, ageMs: 0 };
		}
		if (this.model.faulty) this.silence(readings, nowMs);
		this.last = { readings, atMs: nowMs };
		return readings;
	}

	private readSoundly(nowMs: number): Readings {
		const { inputs, places, sound, last } = this;
		for (let i = 0; i < inputs.length; i += 1) {
			(places[i] as Place).raw = (inputs[i] as Input).raw();
		}
		last.readings = sound;
		last.atMs = nowMs;
		return sound;
	}

	drive(outputs: Outputs): void {
		if (this.model.has("board-stops-answering")) return;
		this.model.drive(outputs);
		if (this.turn % outputNames.length === BEAT_TURN) {
			this.wrongModes = this.model.has("beat-forged") ? this.wrongModes + 1 : 0;
		}
		this.turn += 1;
	}

	/** Channels of devices that do not answer keep what they last said, and grow old. */
	private silence(readings: Record<string, Reading>, nowMs: number): void {
		for (const [address, names] of this.devices) {
			if (!this.signals.isSilent(address)) continue;
			for (const name of names) {
				const old = this.aged(name, nowMs);
				if (old === undefined) delete readings[name];
				else readings[name] = old;
			}
		}
	}

	private aged(name: string, nowMs: number): Reading | undefined {
		const { readings, atMs } = this.last;
		const old = readings[name];
		return old && { raw: old.raw, ageMs: old.ageMs + nowMs - atMs };
	}

	/** How a channel is read, settled once; raw counts as the board reports them. */
	private reader(name: string, channel: Channel, pins: PinMap): () => number {
		const signal = this.signals.of(name);
		if (channel.kind === "analog" || channel.kind === "converter") {
			const countsMax = 2 ** bitsOf(channel, pins) - 1;
			return () => {
				const counts = Math.floor(signal() * (countsMax + 1)) + this.noise();
				return Math.max(0, Math.min(countsMax, counts));
			};
		}
		if (channel.kind === "i2c") {
			const { perCount, signed } = channel;
			const least = signed ? Number.NEGATIVE_INFINITY : 0;
			return () => Math.max(least, Math.round(signal() / perCount) + this.noise());
		}
		return () => Math.floor(signal());
	}
}

function addressOf(channel: Channel | undefined, { converter }: PinMap): number | null {
	if (channel?.kind === "converter") return converter.address;
	return channel?.kind === "i2c" ? channel.address : null;
}
