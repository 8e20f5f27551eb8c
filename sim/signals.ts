// How the sensors are wired: voltages as shares of the ADC's reference, register contents, levels
// and pulse counts, channel by channel after the pin map. The model board quantises them; the
// emulated board's own ADC and I2C read them.

import type { Channel, SupervisedLoop } from "../firmware/config/pins.ts";
import type { Fault } from "./faults.ts";
import type { RigModel } from "./rig.ts";

export class Signals {
	private readonly model: RigModel;

	constructor(model: RigModel) {
		this.model = model;
	}

	/** Voltage of an analog channel as a share of the ADC's reference, 0 to 1. */
	share(name: string, channel: Channel): number {
		const { model } = this;
		if (channel.kind !== "analog") return 0;
		if (name === "stop-loop") {
			return this.loop(channel.loop, model.stopPressed ? Infinity : 0, "stop-wire-cut", null);
		}
		if (name === "bowl-probe") {
			const { probeOhm } = model.sensors;
			return this.loop(channel.loop, probeOhm, "probe-wire-cut", "probe-wire-shorted");
		}
		if (name === "vacuum" && channel.kpaPerShare !== undefined) {
			return (channel.zeroShare ?? 0) - model.sensors.vacuumKpa / channel.kpaPerShare;
		}
		return 0;
	}

	/** What an I2C monitor measures, in the channel's unit. */
	quantity(name: string): number {
		const { sensors } = this.model;
		if (name === "supply-volts") return sensors.supplyVolts;
		return name === "motor-current" ? sensors.motorAmps : 0;
	}

	level(name: string): boolean {
		return name === "acknowledge-button" && this.model.buttonPressed;
	}

	pulses(): number {
		return this.model.sensors.pulses;
	}

	private loop(
		loop: SupervisedLoop | undefined,
		farOhm: number,
		cut: Fault,
		shorted: Fault | null,
	): number {
		if (loop === undefined) return 0;
		const { model } = this;
		if (model.has(cut)) return 1;
		if (shorted !== null && model.has(shorted)) return 0;
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
