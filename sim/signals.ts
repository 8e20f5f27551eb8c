// What the rig's sensors put on the board's pins: voltages as shares of the reference, register
// contents, levels and pulse counts, channel by channel after the pin map. The model board
// quantises them; the emulated board's own ADC and I2C read them.

import type { Channel, SupervisedLoop } from "../firmware/config/pins.ts";
import type { Rig } from "../firmware/config/rig.ts";
import type { Fault } from "./faults.ts";
import type { RigModel } from "./rig.ts";

export class Signals {
	private readonly model: RigModel;
	private readonly rig: Rig;

	constructor(model: RigModel, rig: Rig) {
		this.model = model;
		this.rig = rig;
	}

	/** Voltage of an analog channel as a share of the ADC's reference, 0 to 1. */
	share(name: string, channel: Channel): number {
		const { model } = this;
		if (channel.kind !== "analog") return 0;
		if (name === "stop-loop") {
			return this.loop(channel.loop, model.stopPressed ? Infinity : 0, "stop-wire-cut", null);
		}
		if (name === "bowl-probe") {
			const ohm = model.path.waterAtProbe ? model.waterOhm : Infinity;
			return this.loop(channel.loop, ohm, "probe-wire-cut", "probe-wire-shorted");
		}
		if (name === "vacuum" && channel.kpaPerShare !== undefined) {
			return (channel.zeroShare ?? 0) - model.path.vacuumKpa / channel.kpaPerShare;
		}
		return 0;
	}

	/** What an I2C monitor measures, in the channel's unit. */
	quantity(name: string): number {
		const { motor } = this.model;
		if (name === "supply-volts") return motor.volts;
		return name === "motor-current" ? motor.amps : 0;
	}

	level(name: string): boolean {
		return name === "acknowledge-button" && this.model.buttonPressed;
	}

	/** Pulses that the meter has given since the start; the whole part is the running count. */
	pulses(): number {
		const trueFactor = this.rig.meter.pulsesPerLitre * (1 + this.model.meterErrorPct / 100);
		return this.model.meteredLitres * trueFactor;
	}

	private loop(
		loop: SupervisedLoop | undefined,
		farOhm: number,
		cut: Fault,
		shorted: Fault | null,
	): number {
		if (loop === undefined) return 0;
		const { faults } = this.model;
		if (faults.has(cut)) return 1;
		if (shorted !== null && faults.has(shorted)) return 0;
		return loopShare(loop, farOhm);
	}
}

/** Voltage of a supervised loop as a share of its reference. */
export function loopShare(loop: SupervisedLoop, farOhm: number): number {
	const far = farOhm === Infinity ? loop.endOfLineOhm : parallel(farOhm, loop.endOfLineOhm);
	const loopOhm = loop.seriesOhm + far;
	return loopOhm / (loopOhm + loop.pullUpOhm);
}

const parallel = (a: number, b: number): number => (a === 0 ? 0 : 1 / (1 / a + 1 / b));
