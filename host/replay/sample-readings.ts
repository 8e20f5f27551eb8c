// Readings made of a log's samples: what a board would have to report so that the sense stage finds
// the flow, vacuum, volts, amps and fuel temperature that were logged. What no sample tells is
// assumed as it is while all is well. Imports the wiring's own formulas from the simulator.

import type { Reading, Readings } from "../../firmware/board/port.ts";
import { bitsOf, type Channel, inputsOf, type PinMap } from "../../firmware/config/pins.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { bridgeShare, loopShare, thermistorShare } from "../../sim/signals.ts";

export type Sample = Extract<LogRecord, { kind: "sample" }>;
type Quantity = number | string;

/** A reading so old says nothing, ms. */
const STALE_MS = 3_600_000;

/** What the channels say in one tick. */
export interface Moment {
	readonly sample: Sample;
	/** The pump's motor is switched on: only then has the sample anything to say of it. */
	readonly motorOn: boolean;
	readonly pulses: number;
	readonly buttonPressed: boolean;
	/** Outputs that drive the water probe. */
	readonly probePlus: boolean;
	readonly probeMinus: boolean;
	/** The supply without the pump's load, V. */
	readonly restVolts: number;
}

/** A board's report; channels that the rig lacks are not in it. */
export function readingsOf(pins: PinMap, lacks: readonly string[], moment: Moment): Readings {
	const readings: Record<string, Reading> = {
		board: { raw: 1, ageMs: 0 },
		"beat-mode": { raw: 1, ageMs: 0 },
	};
	for (const [name, channel] of inputsOf(pins)) {
		if (!lacks.includes(name)) readings[name] = readingOf(name, channel, pins, moment);
	}
	return readings;
}

function readingOf(name: string, channel: Channel, pins: PinMap, moment: Moment): Reading {
	const { sample, motorOn, pulses, buttonPressed, restVolts } = moment;
	if (channel.kind === "pulse") return known(sample.flowLph, () => Math.floor(pulses));
	if (channel.kind === "digital-in") return { raw: buttonPressed ? 1 : 0, ageMs: 0 };
	if (channel.kind === "i2c") {
		const { perCount } = channel;
		const volts = motorOn ? sample.supplyVolts : restVolts;
		const value = channel.unit === "V" ? volts : motorOn ? sample.motorAmps : 0;
		return known(value, (number) => Math.round(number / perCount));
	}
	if (channel.kind === "digital-out") return { raw: 0, ageMs: 0 };
	const { loop, bridge, thermistor, gauge, level } = channel;
	const counts = 2 ** bitsOf(channel, pins);
	const reading = (share: number): Reading => ({
		raw: Math.min(counts - 1, Math.max(0, Math.round(share * counts))),
		ageMs: 0,
	});
	if (loop !== undefined) return reading(loopShare(loop, 0));
	if (bridge !== undefined) {
		const dry = Number.POSITIVE_INFINITY;
		return reading(bridgeShare(bridge, dry, moment.probePlus, moment.probeMinus));
	}
	if (thermistor !== undefined) {
		if (name !== "fuel-temperature") return reading(thermistorShare(thermistor, 20));
		return known(sample.fuelC, (celsius) => reading(thermistorShare(thermistor, celsius)).raw);
	}
	if (gauge !== undefined) {
		const vacuum = motorOn ? sample.vacuumKpa : 0;
		const shareOf = (kpa: number) => gauge.zeroShare - kpa / gauge.kpaPerShare;
		return known(vacuum, (kpa) => reading(shareOf(kpa)).raw);
	}
	return reading(level === undefined ? 0 : (level.emptyShare + level.fullShare) / 2);
}

/** A word for a quantity becomes a report that has stopped coming. */
function known(value: Quantity, raw: (number: number) => number): Reading {
	return typeof value === "number" ? { raw: raw(value), ageMs: 0 } : { raw: 0, ageMs: STALE_MS };
}
