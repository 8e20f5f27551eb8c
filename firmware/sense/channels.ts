// One channel's raw value to its quantity, by what the pin map says the voltage means: loop, gauge,
// level, thermistor, register. Pure.

import type { Readings } from "../board/port.ts";
import { bitsOf, type PinMap, type VoltageChannel } from "../config/pins.ts";
import { countsOf, fresh, type Quantity } from "./quantity.ts";
import { farEndOhm, type LoopValue, loopValue } from "./supervised-loop.ts";
import { betaC, lowerOhm } from "./thermistor.ts";

/** Reads one channel; settled once for a pin map, so that a tick looks nothing up. */
export type Reader<Value> = (readings: Readings) => Value;

const NOT_FITTED = () => "not-fitted" as const;

/** Nearer than this to either end of the reference the wire is at fault, share. */
const END_SHARE = 0.05;
/** A thermistor outside of it is a broken wire or a short, °C. */
const TEMPERATURE_C = { min: -35, max: 130 };

function voltage(pins: PinMap, name: string, fitted: boolean): VoltageChannel | null {
	const channel = pins.channels[name];
	if (!fitted || channel === undefined) return null;
	return channel.kind === "analog" || channel.kind === "converter" ? channel : null;
}

/** A switch in a supervised loop. */
export function switchReader(pins: PinMap, name: string, fitted = true): Reader<LoopValue> {
	const channel = voltage(pins, name, fitted);
	const loop = channel?.loop;
	if (channel === null || loop === undefined) return NOT_FITTED;
	const bits = bitsOf(channel, pins);
	return (readings) => loopValue(farEndOhm(readings[name], loop, bits), loop);
}

/** Vacuum of a ratiometric gauge transducer, kPa; outside 5 % to 95 % the wire is at fault. */
export function vacuumReader(pins: PinMap, name: string, fitted: boolean): Reader<Quantity> {
	const channel = voltage(pins, name, fitted);
	const gauge = channel?.gauge;
	if (channel === null || gauge === undefined) return NOT_FITTED;
	const bits = bitsOf(channel, pins);
	return (readings) => {
		const raw = fresh(readings[name]);
		if (typeof raw !== "number") return raw;
		const share = raw / countsOf(bits);
		if (share < END_SHARE) return "short";
		if (share > 1 - END_SHARE) return "open";
		return -gaugeKpa(raw, bits, gauge.zeroShare, gauge.kpaPerShare);
	};
}

/** Gauge pressure of a ratiometric transducer, kPa; negative below the air outside. */
export function gaugeKpa(raw: number, bits: number, zeroShare: number, kpaPerShare: number) {
	return (raw / countsOf(bits) - zeroShare) * kpaPerShare;
}

/** Height of the fuel as a share of the tank's depth, 0 to 1. */
export function levelReader(pins: PinMap, name: string, fitted: boolean): Reader<Quantity> {
	const channel = voltage(pins, name, fitted);
	const level = channel?.level;
	if (channel === null || level === undefined) return NOT_FITTED;
	const bits = bitsOf(channel, pins);
	const { emptyShare, fullShare } = level;
	return (readings) => {
		const raw = fresh(readings[name]);
		if (typeof raw !== "number") return raw;
		const share = raw / countsOf(bits);
		if (share < emptyShare / 2) return "short";
		if (share > (1 + fullShare) / 2) return "open";
		return Math.min(1, Math.max(0, (share - emptyShare) / (fullShare - emptyShare)));
	};
}

/** Temperature of a thermistor under a pull-up, °C. */
export function temperatureReader(pins: PinMap, name: string, fitted: boolean): Reader<Quantity> {
	const channel = voltage(pins, name, fitted);
	const thermistor = channel?.thermistor;
	if (channel === null || thermistor === undefined) return NOT_FITTED;
	const countsMax = countsOf(bitsOf(channel, pins)) - 1;
	const { pullUpOhm, ohmAt25C, betaK } = thermistor;
	let [lastRaw, lastC] = [Number.NaN, 0];
	return (readings) => {
		const raw = fresh(readings[name]);
		if (typeof raw !== "number") return raw;
		if (raw < 0 || raw > countsMax) return "out-of-range";
		if (raw !== lastRaw) {
			// The logarithm again only where the counts have changed.
			lastC = betaC({ ohm: ohmAt25C, tempC: 25 }, betaK, lowerOhm(raw / countsMax, pullUpOhm));
			lastRaw = raw;
		}
		if (!(lastC >= TEMPERATURE_C.min)) return "open";
		return lastC > TEMPERATURE_C.max ? "short" : lastC;
	};
}

/** A register of the current monitor, in its unit. */
export function registerReader(pins: PinMap, name: string): Reader<Quantity> {
	const channel = pins.channels[name];
	if (channel?.kind !== "i2c") return NOT_FITTED;
	const { perCount } = channel;
	return (readings) => {
		const raw = fresh(readings[name]);
		return typeof raw === "number" ? raw * perCount : raw;
	};
}
