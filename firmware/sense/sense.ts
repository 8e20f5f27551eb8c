// Readings to quantities, one tick. Pure; imports the readers beside it and types. What the
// quantities mean is the findings' business.

import type { Readings } from "../board/port.ts";
import type { OptionalSensor } from "../config/optional-sensors.ts";
import { type Bridge, bitsOf, type PinMap } from "../config/pins.ts";
import type { Rig } from "../config/rig.ts";
import { type ProbeState, probeAtBoot, readProbe } from "./bowl-probe.ts";
import {
	levelReader,
	type Reader,
	registerReader,
	switchReader,
	temperatureReader,
	vacuumReader,
} from "./channels.ts";
import { countDry, type DryBudget, dryMsOf, NO_DRY } from "./dry-budget.ts";
import {
	type DryPlan,
	type DryRun,
	followDryRun,
	isTooLow,
	NO_DRY_RUN,
	planDryRun,
} from "./dry-run.ts";
import { type FlowState, flowAtBoot, measureFlow } from "./flow.ts";
import { type HardMarks, type HardState, hardAtBoot, hardMarks, timeHard } from "./hard-times.ts";
import { type LongState, longAtBoot, watchLong } from "./long-watch.ts";
import { EDGELESS_MS_MAX, fresh, type Moment, type Quantity } from "./quantity.ts";
import type { RestrictionState } from "./restriction.ts";
import type { Sensed } from "./sensed.ts";
import { type SlowReaders, type SlowState, senseSlowly, slowAtBoot } from "./slow-sense.ts";
import { planSuction, type SuctionPlan } from "./suction-side.ts";
import type { LoopValue } from "./supervised-loop.ts";
import { followVacuum, NO_TREND, type VacuumTrend } from "./vacuum-trend.ts";

export interface SenseState {
	readonly probe: ProbeState;
	readonly hard: HardState;
	readonly flow: FlowState;
	readonly dry: DryBudget;
	readonly dryRun: DryRun;
	readonly vacuum: VacuumTrend;
	readonly slow: SlowState;
	readonly long: LongState;
}

/** @param restriction what was last known of the element */
export const senseAtBoot = (
	nowMs: number,
	restriction: RestrictionState | null = null,
): SenseState => ({
	probe: probeAtBoot(nowMs),
	hard: hardAtBoot,
	flow: flowAtBoot(nowMs),
	dry: NO_DRY,
	dryRun: NO_DRY_RUN,
	vacuum: NO_TREND,
	slow: slowAtBoot(nowMs),
	long: longAtBoot(nowMs, restriction),
});

/** How each channel of one rig is read: settled once, so that a tick looks nothing up. */
export interface SensePlan {
	readonly rig: Rig;
	readonly marks: HardMarks;
	readonly dryRun: DryPlan;
	readonly probe: { readonly bridge: Bridge; readonly bits: number } | null;
	readonly stop: Reader<LoopValue>;
	readonly tray: Reader<LoopValue>;
	readonly returnSeat: Reader<LoopValue>;
	readonly tubeSeat: Reader<LoopValue>;
	readonly pressureSwitch: Reader<LoopValue>;
	readonly vacuum: Reader<Quantity>;
	readonly slow: SlowReaders;
	readonly suction: SuctionPlan;
	readonly volts: Reader<Quantity>;
	readonly amps: Reader<Quantity>;
}

export function planSense(rig: Rig, pins: PinMap): SensePlan {
	const has = (sensor: OptionalSensor) => rig.sensors.includes(sensor);
	const probe = pins.channels["bowl-probe"];
	const bridge = probe?.kind === "analog" ? probe.bridge : undefined;
	return {
		rig,
		marks: hardMarks(rig),
		dryRun: planDryRun(rig),
		probe:
			probe?.kind === "analog" && bridge !== undefined
				? { bridge, bits: bitsOf(probe, pins) }
				: null,
		stop: switchReader(pins, "stop-loop"),
		tray: switchReader(pins, "tray", has("tray")),
		returnSeat: switchReader(pins, "return-seat", has("return-seat")),
		tubeSeat: switchReader(pins, "tube-seat", has("tube-seat")),
		pressureSwitch: switchReader(pins, "pressure-switch", has("pressure-switch")),
		vacuum: vacuumReader(pins, "vacuum", has("vacuum")),
		slow: {
			bowlTap: vacuumReader(pins, "bowl-tap", has("bowl-tap")),
			levelFrom: levelReader(pins, "level-from", has("level-from")),
			levelTo: levelReader(pins, "level-to", has("level-to")),
			fuel: temperatureReader(pins, "fuel-temperature", has("fuel-temperature")),
			motorCase: temperatureReader(pins, "case-temperature", has("case-temperature")),
		},
		suction: planSuction(rig),
		volts: registerReader(pins, "supply-volts"),
		amps: registerReader(pins, "motor-current"),
	};
}

export function sense(
	plan: SensePlan,
	before: SenseState,
	readings: Readings,
	moment: Moment,
): { state: SenseState; sensed: Sensed } {
	const { rig } = plan;
	const { nowMs, motorOn } = moment;
	const stop = plan.stop(readings);
	const probe = nextProbe(plan, before.probe, readings, nowMs);
	const tray = plan.tray(readings);
	const returnSeat = plan.returnSeat(readings);
	const supplyVolts = plan.volts(readings);
	const motorAmps = plan.amps(readings);
	const vacuumKpa = plan.vacuum(readings);
	const flow = measureFlow(before.flow, readings["flow-pulse"], rig, moment);
	const dry = countDry(before.dry, rig, flow.state.noFlowMs, flow.motorMs, moment);
	const dryMs = dryMsOf(dry);
	const dryRun = followDryRun(
		before.dryRun,
		plan.dryRun,
		{
			flowLph: flow.state.flowLph,
			motorAmps,
			vacuumKpa,
			pulses: flow.pulses,
			motorMs: flow.motorMs,
			dryMs,
		},
		moment,
	);
	const vacuum = followVacuum(before.vacuum, vacuumKpa, moment);
	const buttonPressed = fresh(readings["acknowledge-button"]) === 1;
	const slow = senseSlowly(rig, plan.slow, before.slow, readings, vacuum.blocks, moment);
	const slowly = slow.sensed;
	const long = watchLong(
		rig,
		plan.suction,
		before.long,
		{
			slow,
			blocks: vacuum.blocks,
			flow: flow.state,
			supplyVolts,
			motorAmps,
			buttonPressed,
		},
		moment,
	);
	const lately = long.kept.sensed;
	const { levelFrom, levelTo, caseC } = slowly;
	const hard = timeHard(
		before.hard,
		plan.marks,
		{
			stop,
			probe: probe.value,
			tray,
			returnSeat,
			flowLph: flow.state.flowLph,
			motorAmps,
			supplyVolts,
			vacuumKpa,
			levelFrom,
			levelTo,
			caseC,
		},
		motorOn,
		nowMs,
	);
	const sensed: Sensed = {
		board: boardOf(readings),
		beatMode: fresh(readings["beat-mode"]),
		stop,
		probe: probe.value,
		flowLph: flow.state.flowLph,
		vacuumKpa,
		bowlTapKpa: slowly.bowlTapKpa,
		supplyVolts,
		restVolts: restVolts(rig, supplyVolts, motorAmps),
		motorAmps,
		tray,
		returnSeat,
		tubeSeat: plan.tubeSeat(readings),
		pressureSwitch: plan.pressureSwitch(readings),
		levelFrom,
		levelTo,
		fuelC: slowly.fuelC,
		caseC,
		buttonPressed,
		pulses: flow.pulses,
		motorMs: flow.motorMs,
		noFlowMs: flow.state.noFlowMs,
		pumpOnMs: flow.state.pumpOnMs,
		dryMs,
		airMs: dryRun.airMs,
		tooLow: isTooLow(dryRun),
		offMs: flow.state.offMs,
		siphonLitres: flow.state.siphonLitres,
		fromMoved: slowly.fromMoved,
		toMoved: slowly.toMoved,
		levelGap: slowly.levelGap,
		toLevel: slowly.toLevel,
		vacuumRiseKpa: slowly.vacuumRiseKpa,
		pumpingVacuumKpa: slowly.pumpingVacuumKpa,
		vacuumGainKpa: slowly.vacuumGainKpa,
		vacuumLies: slowly.vacuumLies,
		restriction: lately.restriction,
		plugging: lately.plugging,
		pipeKpa: lately.pipeKpa,
		perReferred: lately.perReferred,
		drift: lately.drift,
		imbalance: lately.imbalance,
		probeWetMs: hard.probeWetMs.ms,
		probeUnknownMs: hard.probeUnknownMs.ms,
		stopUnknownMs: hard.stopUnknownMs.ms,
		trayWetMs: hard.trayWetMs.ms,
		returnOutMs: hard.returnOutMs.ms,
		lowFlowMs: hard.lowFlowMs.ms,
		overAmpsMs: hard.overAmpsMs.ms,
		underVoltsMs: hard.underVoltsMs.ms,
		overVoltsMs: hard.overVoltsMs.ms,
		overVacuumMs: hard.overVacuumMs.ms,
		overFullMs: hard.overFullMs.ms,
		overHotMs: hard.overHotMs.ms,
	};
	const state = { probe, hard, flow: flow.state, dry, dryRun, vacuum, slow, long };
	return { state, sensed };
}

/**
 * One that has said nothing for so long has seen no edge of the beat either. It is never "not
 * fitted": one that was never heard is as good as one that has gone.
 */
function boardOf({ board }: Readings): Quantity {
	return board === undefined ? "stale" : fresh(board, EDGELESS_MS_MAX);
}

function nextProbe(
	{ rig, probe }: SensePlan,
	before: ProbeState,
	readings: Readings,
	nowMs: number,
): ProbeState {
	if (probe === null) return before.value === "not-fitted" ? before : NO_PROBE;
	const { bridge, bits } = probe;
	const { waterProbeKohm } = rig.setpoints;
	return readProbe(before, readings["bowl-probe"], bridge, bits, waterProbeKohm, nowMs);
}

const NO_PROBE: ProbeState = { ...probeAtBoot(0), value: "not-fitted" };

/** The supply with the pump's own drop added: what a battery would show without this load, V. */
function restVolts({ supply }: Rig, volts: Quantity, amps: Quantity): Quantity {
	if (typeof volts !== "number") return volts;
	return typeof amps === "number" ? volts + Math.max(0, amps) * supply.internalOhm : volts;
}
