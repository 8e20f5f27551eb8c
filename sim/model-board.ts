// The model board: turns the rig's truth into what a board would report, channel by channel after
// the pin map, with ADC noise of one count from a seeded generator, and outputs into the rig.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { Board, Outputs, Reading, Readings } from "../firmware/board/port.ts";
import type { Channel, PinMap, SupervisedLoop } from "../firmware/config/pins.ts";
import type { Rig } from "../firmware/config/rig.ts";
import type { Fault } from "./faults.ts";
import type { RigModel } from "./rig.ts";

type Probe = (name: string, channel: Channel) => number;

export class ModelBoard implements Board {
	private readonly model: RigModel;
	private readonly rig: Rig;
	private readonly pins: PinMap;
	private readonly inputs: ReadonlyArray<readonly [string, Channel]>;
	private readonly noise: () => number;
	private readonly measure: Probe;
	private frozen: { readings: Readings; atMs: number } | null = null;

	constructor(model: RigModel, rig: Rig, pins: PinMap, seed: number) {
		this.model = model;
		this.rig = rig;
		this.pins = pins;
		this.inputs = Object.entries(pins.channels).filter(([, c]) => c.kind !== "digital-out");
		const random = xoroshiro128plus(seed);
		this.noise = () => uniformInt(random, -1, 1);
		this.measure = (name, channel) => this.raw(name, channel);
	}

	read(nowMs: number): Readings {
		if (this.model.faults.has("readings-frozen")) {
			this.frozen ??= { readings: this.readAll(), atMs: nowMs };
			const { readings, atMs } = this.frozen;
			const aged = Object.entries(readings).map(([name, { raw }]) => [
				name,
				{ raw, ageMs: nowMs - atMs },
			]);
			return Object.fromEntries(aged);
		}
		this.frozen = null;
		return this.readAll();
	}

	drive(outputs: Outputs): void {
		this.model.drive(outputs);
	}

	private readAll(): Readings {
		const readings: Record<string, Reading> = {};
		for (const [name, channel] of this.inputs) {
			readings[name] = { raw: this.measure(name, channel), ageMs: 0 };
		}
		return readings;
	}

	private raw(name: string, channel: Channel): number {
		const { model, rig } = this;
		const { motor } = model;
		switch (name) {
			case "flow-pulse": {
				const trueFactor = rig.meter.pulsesPerLitre * (1 + model.meterErrorPct / 100);
				return Math.floor(model.meteredLitres * trueFactor);
			}
			case "acknowledge-button":
				return model.buttonPressed ? 1 : 0;
			case "stop-loop":
				return this.loop(channel, model.stopPressed ? Infinity : 0, "stop-wire-cut", null);
			case "bowl-probe": {
				const ohm = model.path.waterAtProbe ? model.waterOhm : Infinity;
				return this.loop(channel, ohm, "probe-wire-cut", "probe-wire-shorted");
			}
			case "vacuum":
				return this.ratiometric(channel, -model.path.vacuumKpa);
			case "supply-volts":
				return this.register(channel, motor.volts);
			case "motor-current":
				return this.register(channel, motor.amps);
			default:
				return 0;
		}
	}

	private loop(channel: Channel, farOhm: number, cut: Fault, shorted: Fault | null): number {
		if (channel.kind !== "analog" || channel.loop === undefined) return 0;
		const { faults } = this.model;
		if (faults.has(cut)) return this.adc(1);
		if (shorted !== null && faults.has(shorted)) return this.adc(0);
		return this.adc(loopShare(channel.loop, farOhm));
	}

	private ratiometric(channel: Channel, gaugeKpa: number): number {
		if (channel.kind !== "analog" || channel.kpaPerShare === undefined) return 0;
		return this.adc((channel.zeroShare ?? 0) + gaugeKpa / channel.kpaPerShare);
	}

	private register(channel: Channel, value: number): number {
		return channel.kind === "i2c" ? Math.round(value / channel.perCount) + this.noise() : 0;
	}

	/** Counts of a voltage given as a share of the reference. */
	private adc(share: number): number {
		const countsMax = 2 ** this.pins.adc.bits - 1;
		const counts = Math.floor(share * (countsMax + 1)) + this.noise();
		return Math.max(0, Math.min(countsMax, counts));
	}
}

/** Voltage of a supervised loop as a share of its reference. */
export function loopShare(loop: SupervisedLoop, farOhm: number): number {
	const far = farOhm === Infinity ? loop.endOfLineOhm : parallel(farOhm, loop.endOfLineOhm);
	const loopOhm = loop.seriesOhm + far;
	return loopOhm / (loopOhm + loop.pullUpOhm);
}

const parallel = (a: number, b: number): number => (a === 0 ? 0 : 1 / (1 / a + 1 / b));
