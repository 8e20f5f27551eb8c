// How the sensors are wired: voltages as shares of their converter's reference, register contents,
// levels and pulse counts, channel by channel after the pin map. What is wrong with a wire or a
// sensor is put on here, in `Wire` and nowhere else. The model board quantises what comes out; the
// emulated board's own ADC and I2C read it.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type {
	Bridge,
	Channel,
	PinMap,
	SupervisedLoop,
	Thermistor,
} from "../firmware/config/pins.ts";
import type { RigModel } from "./rig.ts";
import { type FaultKind, faultsOf, type SensorFault } from "./sensor-faults.ts";

const ZERO_C_IN_K = 273.15;
const AT_25C_K = 298.15;
/** A temperature that has moved by less is the same, K: a thirtieth of a converter's count. */
const THERMISTOR_STEP_K = 1e-4;

type Faults = ReturnType<typeof faultsOf>;

/** A channel's value: share of the reference, the monitor's unit, 0 or 1, or a count of pulses. */
export type Signal = () => number;

export class Signals {
	private readonly model: RigModel;
	private readonly pins: PinMap;
	private readonly noise: () => number;
	/** The monitor's channels by its address: one plug carries them all. */
	private readonly monitors = new Map<number, Faults[]>();

	constructor(model: RigModel, pins: PinMap, seed: number) {
		this.model = model;
		this.pins = pins;
		const random = xoroshiro128plus(seed ^ 0x51_6e);
		this.noise = () => uniformInt(random, -1_000_000, 1_000_000) / 1_000_000;
		for (const [name, channel] of Object.entries(pins.channels)) {
			if (channel.kind !== "i2c") continue;
			const others = this.monitors.get(channel.address) ?? [];
			this.monitors.set(channel.address, [...others, faultsOf(name)]);
		}
	}

	/** How a channel is read, settled once; with whatever is wrong with it. */
	of(name: string): Signal {
		const channel = this.pins.channels[name];
		if (channel === undefined) return () => 0;
		const { model } = this;
		const healthy = this.healthy(name, channel);
		if (channel.kind === "pulse") {
			const wire = new PulseWire(model, name);
			return () => wire.count(healthy());
		}
		const wire = new Wire(model, name, channel, this.noise);
		return () => {
			const value = healthy();
			if (model.badWires.size > 0 && model.badWires.has(name)) return wire.spoil(value);
			wire.mend();
			return value;
		};
	}

	/** Nothing answers at that address: its plug is off, or the bus is shorted. */
	isSilent(address: number): boolean {
		const { model, monitors } = this;
		if (address === this.pins.converter.address && model.has("converter-silent")) return true;
		if (model.badWires.size === 0) return false;
		// A bus that is held high: nobody is heard. Held low, the stock image waits for it for ever,
		// which is `board-stops-answering`.
		for (const monitor of monitors.values()) {
			if (monitor.some(({ shorted }) => isThere(model, shorted))) return true;
		}
		return (monitors.get(address) ?? []).some(({ cut }) => isThere(model, cut));
	}

	/** What a channel says while nothing is wrong with it. */
	private healthy(name: string, channel: Channel): Signal {
		const { sensors } = this.model;
		if (channel.kind === "pulse") return () => sensors.pulses;
		if (channel.kind === "digital-in") return () => (this.model.buttonPressed ? 1 : 0);
		if (channel.kind === "i2c") {
			return channel.unit === "A" ? () => sensors.motorAmps : () => sensors.supplyVolts;
		}
		if (channel.kind === "digital-out") return () => 0;
		const { loop, bridge, thermistor, gauge, level } = channel;
		if (loop !== undefined) {
			const isMade = this.contact(name);
			const made = loopShare(loop, 0);
			const broken = loopShare(loop, Number.POSITIVE_INFINITY);
			return () => (isMade() ? made : broken);
		}
		if (bridge !== undefined) {
			const { model } = this;
			return () => bridgeShare(bridge, sensors.probeOhm, model.probePlus, model.probeMinus);
		}
		if (thermistor !== undefined) {
			const isFuel = name === "fuel-temperature";
			const knownAt = thermistorKnown(thermistor);
			return () => knownAt(isFuel ? sensors.fuelC : sensors.caseC);
		}
		if (gauge !== undefined) {
			const { zeroShare, kpaPerShare } = gauge;
			const isInlet = name === "vacuum";
			return () => zeroShare - (isInlet ? sensors.vacuumKpa : sensors.bowlKpa) / kpaPerShare;
		}
		if (level !== undefined) {
			const { emptyShare, fullShare } = level;
			const isFrom = name === "level-from";
			const span = fullShare - emptyShare;
			return () => emptyShare + span * (isFrom ? sensors.levelFrom : sensors.levelTo);
		}
		return () => 0;
	}

	/** Whether a loop's contact is made; each is made while all is well. */
	private contact(name: string): () => boolean {
		const { model } = this;
		const { sensors } = model;
		switch (name) {
			case "stop-loop":
				return () => model.hands.stopPlug || !model.stopPressed;
			case "tray":
				return () => !sensors.trayWet;
			case "return-seat":
				return () => model.hands.returnPlug || sensors.returnSeated;
			case "tube-seat":
				return () => sensors.tubeSeated;
			case "pressure-switch":
				return () => !model.pressureSwitchOpen;
			default:
				return () => true;
		}
	}
}

/** One channel's wire, and what may be wrong with it: all but the meter's. */
class Wire {
	private readonly model: RigModel;
	private readonly faults: Faults;
	private readonly channel: Channel;
	private readonly noise: () => number;
	private readonly scale: number;
	/** What it said when it stuck; null while it does not. */
	private held: number | null = null;
	/** A level turned over by noise. */
	private flipped = false;
	private thenS = 0;

	constructor(model: RigModel, name: string, channel: Channel, noise: () => number) {
		this.model = model;
		this.faults = faultsOf(name);
		this.channel = channel;
		this.noise = noise;
		this.scale = fullScale(channel);
	}

	/** Nothing is wrong any more. */
	mend(): void {
		this.held = null;
		this.flipped = false;
	}

	/** The value as it comes out of a wire with whatever is wrong with it. */
	spoil(value: number): number {
		const { model, channel } = this;
		const { kind } = channel;
		if (this.has("cut")) return this.cut();
		if (this.has("shorted")) return this.shorted();
		if (!this.has("stuck")) this.held = null;
		else {
			this.held ??= value;
			return this.held;
		}
		const isDigital = kind === "digital-in";
		const elapsedS = Math.max(0, model.elapsedS - this.thenS);
		this.thenS = model.elapsedS;
		const noise = this.sizeOf("noisy");
		if (isDigital) {
			// Up and down: two turns a press.
			if (noise === 0) this.flipped = false;
			else if (Math.abs(this.noise()) < 2 * noise * elapsedS) this.flipped = !this.flipped;
			return this.flipped ? 1 - value : value;
		}
		let spoilt = value + (this.sizeOf("drifts") / 100) * this.scale;
		// Even over ±√3: one of standard deviation.
		if (noise !== 0) spoilt += (noise / 100) * this.scale * Math.sqrt(3) * this.noise();
		return kind === "i2c" ? spoilt : Math.min(1, Math.max(0, spoilt));
	}

	/** Pulled up at the box, but for the probe, whose input hangs on the pin that drives it. */
	private cut(): number {
		const { channel, model } = this;
		if (!isVoltage(channel)) return 0;
		return channel.bridge === undefined || model.probePlus ? 1 : 0;
	}

	/** At the box. At the probe's own pins a short is water of 0 Ω and reads as that. */
	private shorted(): number {
		const { channel, model } = this;
		if (!isVoltage(channel)) return channel.kind === "digital-in" ? 1 : 0;
		return channel.bridge !== undefined && model.probeMinus ? 1 : 0;
	}

	private has(kind: FaultKind): boolean {
		return isThere(this.model, this.faults[kind]);
	}

	private sizeOf(kind: FaultKind): number {
		return sizeIn(this.model, this.faults[kind]);
	}
}

/** The meter's wire: what is wrong counts from its beginning on, so the count itself is kept. */
class PulseWire {
	private readonly model: RigModel;
	private readonly faults: Faults;
	private before = 0;
	private thenS = 0;
	/** Pulses that faults have added, or taken. */
	private added = 0;

	constructor(model: RigModel, name: string) {
		this.model = model;
		this.faults = faultsOf(name);
	}

	count(pulses: number): number {
		const { model } = this;
		const { cut, shorted, stuck, drifts, noisy } = this.faults;
		const come = pulses - this.before;
		const elapsedS = Math.max(0, model.elapsedS - this.thenS);
		this.before = pulses;
		this.thenS = model.elapsedS;
		if (model.badWires.size === 0) return pulses + this.added;
		const isDead = isThere(model, cut) || isThere(model, shorted) || isThere(model, stuck);
		if (isDead) this.added -= come;
		else {
			this.added += (come * sizeIn(model, drifts)) / 100;
			this.added += elapsedS * sizeIn(model, noisy);
		}
		return pulses + this.added;
	}
}

function isThere(model: RigModel, fault: SensorFault | null): boolean {
	return fault !== null && model.has(fault);
}

function sizeIn(model: RigModel, fault: SensorFault | null): number {
	return fault === null ? 0 : model.sizeOf(fault);
}

const isVoltage = (
	channel: Channel,
): channel is Extract<Channel, { kind: "analog" | "converter" }> =>
	channel.kind === "analog" || channel.kind === "converter";

/** The monitor's widest range in its unit; the whole reference for a voltage. */
function fullScale(channel: Channel): number {
	if (channel.kind !== "i2c") return 1;
	return channel.perCount * 2 ** (16 - channel.shiftRight - (channel.signed ? 1 : 0));
}

/** Voltage of a supervised loop as a share of its reference. */
export function loopShare(loop: SupervisedLoop, farOhm: number): number {
	const loopOhm = loop.seriesOhm + besideEnd(farOhm, loop.endOfLineOhm);
	return loopOhm / (loopOhm + loop.pullUpOhm);
}

/**
 * Voltage at the water probe's input as a share of the drive.
 * @param waterOhm between the pins in the bowl
 */
export function bridgeShare(
	bridge: Bridge,
	waterOhm: number,
	plus: boolean,
	minus: boolean,
): number {
	if (plus === minus) return plus ? 1 : 0;
	const { driveOhm, seriesOhm, endOfLineOhm } = bridge;
	const far = seriesOhm + besideEnd(waterOhm, endOfLineOhm);
	return (plus ? far : driveOhm) / (driveOhm + far);
}

/** Voltage of a thermistor under its pull-up as a share of the reference. */
export function thermistorShare(thermistor: Thermistor, celsius: number): number {
	const { pullUpOhm, ohmAt25C, betaK } = thermistor;
	const ohm = ohmAt25C * Math.exp(betaK * (1 / (celsius + ZERO_C_IN_K) - 1 / AT_25C_K));
	return ohm / (ohm + pullUpOhm);
}

/** The same, worked out anew only where the temperature has moved. */
function thermistorKnown(thermistor: Thermistor): (celsius: number) => number {
	let [knownC, share] = [Number.NaN, 0];
	return (celsius) => {
		if (!(Math.abs(celsius - knownC) < THERMISTOR_STEP_K)) {
			knownC = celsius;
			share = thermistorShare(thermistor, celsius);
		}
		return share;
	};
}

/** Two resistances side by side, Ω; the first may be anything from 0 to infinity. */
const besideEnd = (ohm: number, endOhm: number): number => {
	if (ohm === 0) return 0;
	return ohm === Number.POSITIVE_INFINITY ? endOhm : 1 / (1 / ohm + 1 / endOhm);
};
