// Readings to quantities, one tick. Pure; imports the readers beside it and types. What the
// quantities mean is the findings' business.

import type { Readings } from "../board/port.ts";
import type { Channel, PinMap } from "../config/pins.ts";
import type { Rig } from "../config/rig.ts";
import { type ProbeValue, probeValue } from "./bowl-probe.ts";
import { countDry, type DryBudget, dryMsOf, NO_DRY } from "./dry-budget.ts";
import { type FlowState, flowAtBoot, measureFlow } from "./flow.ts";
import { EMPTY_LEAKY, fill, hold, type Leaky } from "./leaky.ts";
import { countsOf, fresh, isUnknown, type Moment, type Quantity } from "./quantity.ts";
import type { Sensed } from "./sensed.ts";
import { farEndOhm, type LoopValue, loopValue } from "./supervised-loop.ts";

export interface SenseState {
	readonly probeWet: Leaky;
	readonly probeUnknown: Leaky;
	readonly stopUnknown: Leaky;
	readonly flow: FlowState;
	readonly dry: DryBudget;
}

export const senseAtBoot = (nowMs: number): SenseState => ({
	probeWet: EMPTY_LEAKY,
	probeUnknown: EMPTY_LEAKY,
	stopUnknown: EMPTY_LEAKY,
	flow: flowAtBoot(nowMs),
	dry: NO_DRY,
});

export function sense(
	rig: Rig,
	pins: PinMap,
	before: SenseState,
	readings: Readings,
	moment: Moment,
): { state: SenseState; sensed: Sensed } {
	const { nowMs } = moment;
	const { channels, adc } = pins;
	const stop = readStop(channels["stop-loop"], readings, adc);
	const thresholdKohm = rig.setpoints.waterProbeKohm;
	const probe = readProbe(channels["bowl-probe"], readings, adc, thresholdKohm);
	// While the motor is off nothing can flap into a stop: what counts is how it stands.
	const count = moment.motorOn ? fill : hold;
	const probeWet = count(before.probeWet, isUnknown(probe) ? null : probe === "wet", nowMs);
	const probeUnknown = count(before.probeUnknown, isUnknown(probe), nowMs);
	const stopUnknown = count(before.stopUnknown, isUnknown(stop), nowMs);
	const meter = readings["flow-pulse"];
	const flow = measureFlow(before.flow, meter, rig, moment);
	const dry = countDry(before.dry, rig, flow.state.noFlowMs, flow.motorMs, moment);
	const sensed: Sensed = {
		board: fresh(readings.board),
		stop,
		probe,
		probeWetMs: probeWet.ms,
		probeUnknownMs: probeUnknown.ms,
		stopUnknownMs: stopUnknown.ms,
		flowLph: flow.state.flowLph,
		vacuumKpa: readVacuum(channels.vacuum, readings, adc),
		supplyVolts: readRegister(pins, readings, "supply-volts"),
		motorAmps: readRegister(pins, readings, "motor-current"),
		buttonPressed: fresh(readings["acknowledge-button"]) === 1,
		pulses: flow.pulses,
		motorMs: flow.motorMs,
		noFlowMs: flow.state.noFlowMs,
		pumpOnMs: flow.state.pumpOnMs,
		dryMs: dryMsOf(dry),
	};
	const state = { probeWet, probeUnknown, stopUnknown, flow: flow.state, dry };
	return { state, sensed };
}

type Adc = PinMap["adc"];

function readStop(channel: Channel | undefined, readings: Readings, adc: Adc): LoopValue {
	if (channel?.kind !== "analog" || channel.loop === undefined) return "not-fitted";
	return loopValue(farEndOhm(readings["stop-loop"], channel.loop, adc), channel.loop);
}

function readProbe(
	channel: Channel | undefined,
	readings: Readings,
	adc: Adc,
	thresholdKohm: number,
): ProbeValue {
	if (channel?.kind !== "analog" || channel.loop === undefined) return "not-fitted";
	return probeValue(farEndOhm(readings["bowl-probe"], channel.loop, adc), thresholdKohm);
}

/** Ratiometric transducer, 10 % to 90 % of the reference; outside it the wire is at fault. */
function readVacuum(channel: Channel | undefined, readings: Readings, adc: Adc): Quantity {
	if (channel?.kind !== "analog" || channel.kpaPerShare === undefined) return "not-fitted";
	const raw = fresh(readings.vacuum);
	if (typeof raw !== "number") return raw;
	const share = raw / countsOf(adc.bits);
	if (share < 0.05) return "short";
	if (share > 0.95) return "open";
	return -gaugeKpa(raw, adc.bits, channel.zeroShare ?? 0, channel.kpaPerShare);
}

/** Gauge pressure of a ratiometric transducer, kPa; negative below the air outside. */
export function gaugeKpa(raw: number, bits: number, zeroShare: number, kpaPerShare: number) {
	return (raw / countsOf(bits) - zeroShare) * kpaPerShare;
}

function readRegister({ channels }: PinMap, readings: Readings, name: string): Quantity {
	const channel = channels[name];
	if (channel?.kind !== "i2c") return "not-fitted";
	const raw = fresh(readings[name]);
	return typeof raw === "number" ? raw * channel.perCount : raw;
}
