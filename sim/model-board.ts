// The model board: reports what a board would, quantised, with converter noise of one count from a
// seeded generator, and drives its outputs into the rig. A board that hangs reports nothing new and
// takes no writes, and its pins keep their levels; one without supply or in reset lets them float,
// and boots when that is over. A line that loses bytes loses messages. A device that does not
// answer leaves its channels to grow old.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import {
	BEGUN_SHOWS_MS,
	READY_MS_MAX,
	REOPEN_MS,
	WRONG_ANSWERS,
} from "../firmware/board/patience.ts";
import {
	ALL_OFF,
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
import { BoardLife } from "./board-life.ts";
import { LossyLine } from "./lossy-line.ts";
import type { RigModel } from "./rig.ts";
import { Signals } from "./signals.ts";

/** As a real board's: one pin is asked for its mode a tick. */
const BEAT_TURN = outputNames.indexOf("dead-man-beat");
/** From reset or supply to the first answer: bootloader and image, as the emulated board has it. */
const BOOT_MS = 2_400;
/** Messages in bytes, question and answer together. */
const ANALOG_BYTES = 3;
const ANALOG_A_TICK = 2;
const REGISTER_BYTES = 20;
const PROOF_BYTES = 10;
const WRITE_BYTES = 3;
const PULSE_BYTES = 6;

interface Input {
	readonly name: string;
	readonly kind: Channel["kind"];
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
	private readonly life: BoardLife;
	private readonly line: LossyLine;
	/** Pulses that nobody has heard: what the board reports is so much less than the meter gave. */
	private pulsesLost = 0;
	/** What is read is fresh and what is driven arrives. */
	private answers = true;
	/** When the controller last opened the port because nothing was heard. */
	private openedMs = 0;
	private begun = 0;
	private mustBoot = false;
	private readyMs = Number.NEGATIVE_INFINITY;
	private turn = 0;
	private wrongModes = 0;
	private last: { readings: Readings; atMs: number } = { readings: {}, atMs: 0 };

	constructor(model: RigModel, pins: PinMap, seed: number) {
		this.model = model;
		this.signals = new Signals(model, pins, seed);
		this.life = new BoardLife(model);
		this.line = new LossyLine(model, seed);
		const random = xoroshiro128plus(seed);
		this.noise = () => uniformInt(random, -1, 1);
		const lacks = (name: string) => model.notFitted.includes(name);
		this.inputs = inputsOf(pins)
			.filter(([name]) => !lacks(name))
			.map(([name, channel]) => {
				return { name, kind: channel.kind, raw: this.reader(name, channel, pins) };
			});
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
		const { model, answers } = this;
		const isSound = answers && nowMs >= this.readyMs + BEGUN_SHOWS_MS;
		if (!model.faulty && isSound && this.wrongModes < WRONG_ANSWERS) return this.readSoundly(nowMs);
		this.answers = this.live(nowMs);
		if (!this.answers) return this.readNothing(nowMs);
		const readings: Record<string, Reading> = { ...this.sound };
		for (const { name, raw } of this.inputs) readings[name] = { raw: raw(), ageMs: 0 };
		if (this.wrongModes >= WRONG_ANSWERS) {
			// The beat's pin does not read back as driven either.
			readings["beat-mode"] = { raw: 0, ageMs: 0 };
			readings.board = { raw: 0, ageMs: 0 };
		}
		if (nowMs < this.readyMs + BEGUN_SHOWS_MS) readings.board = { raw: 0, ageMs: 0 };
		if (model.faulty) this.silence(readings, nowMs);
		if (this.line.isLossy) this.lose(readings, nowMs);
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
		if (!this.answers) return;
		if (this.line.isLossy && this.line.loses(WRITE_BYTES)) return;
		this.model.drive(outputs);
		if (this.turn % outputNames.length === BEAT_TURN) {
			this.wrongModes = this.model.has("beat-forged") ? this.wrongModes + 1 : 0;
		}
		this.turn += 1;
	}

	/** Whether the board answers: its supply, its reset and its boot, as they are now. */
	private live(nowMs: number): boolean {
		const { life, model } = this;
		const does = life.look();
		const { atMs } = this.last;
		const patienceMs = this.openedMs > atMs ? READY_MS_MAX : REOPEN_MS;
		if (does === "hangs" && nowMs - Math.max(atMs, this.openedMs) > patienceMs) {
			this.openedMs = nowMs;
			life.reset();
		}
		const hasBegun = life.begun !== this.begun;
		this.begun = life.begun;
		this.mustBoot ||= hasBegun;
		if (does === "is dark" || hasBegun) model.drive(ALL_OFF);
		if (this.mustBoot && (does !== "works" || hasBegun)) this.readyMs = nowMs + BOOT_MS;
		if (does !== "works" || nowMs < this.readyMs) return false;
		this.mustBoot = false;
		return true;
	}

	/** All that was heard grows old, and pulses of the meter go by. */
	private readNothing(nowMs: number): Readings {
		for (const { name, kind, raw } of this.inputs) {
			const old = this.last.readings[name];
			if (kind === "pulse" && old !== undefined) this.pulsesLost += raw() - old.raw;
		}
		const readings: Record<string, Reading> = {};
		for (const name of Object.keys(this.last.readings)) {
			const old = this.aged(name, nowMs);
			if (old !== undefined) readings[name] = old;
		}
		return readings;
	}

	/** What a line that loses bytes makes of a report. */
	private lose(readings: Record<string, Reading>, nowMs: number): void {
		const { line, last } = this;
		const keep = (name: string) => {
			const old = this.aged(name, nowMs);
			if (old !== undefined) readings[name] = old;
		};
		if (line.loses(PROOF_BYTES)) for (const name of ["board", "beat-mode"]) keep(name);
		const boardAge = readings.board?.ageMs ?? 0;
		for (const { name, kind } of this.inputs) {
			const now = readings[name];
			const old = last.readings[name];
			if (now === undefined) continue;
			if (kind === "analog") {
				if (line.losesAll(ANALOG_A_TICK, ANALOG_BYTES)) keep(name);
			} else if (kind === "pulse") {
				const pulses = now.raw - (old?.raw ?? now.raw);
				let lost = 0;
				for (let i = 0; i < pulses; i += 1) if (line.loses(PULSE_BYTES)) lost += 1;
				this.pulsesLost += lost;
				readings[name] = { raw: now.raw - lost, ageMs: boardAge };
			} else if (kind === "digital-in") {
				const isOld = old !== undefined && line.loses(WRITE_BYTES);
				readings[name] = { raw: isOld ? old.raw : now.raw, ageMs: boardAge };
			} else if (line.loses(REGISTER_BYTES)) keep(name);
		}
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
		if (channel.kind === "pulse") return () => Math.floor(signal()) - this.pulsesLost;
		return () => Math.floor(signal());
	}
}

function addressOf(channel: Channel | undefined, { converter }: PinMap): number | null {
	if (channel?.kind === "converter") return converter.address;
	return channel?.kind === "i2c" ? channel.address : null;
}
