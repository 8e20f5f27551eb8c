// What the detectors see and what is true, tick by tick, with the pump kept on: so that every rule
// is judged on the same traces. The sensed values come through the model board and the firmware's
// own sense.

import { ALL_OFF } from "../../firmware/board/port.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { planSense, sense, senseAtBoot } from "../../firmware/sense/sense.ts";
import { projectRoot } from "../../host/cli/root.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { ModelBoard } from "../../sim/model-board.ts";
import { RigModel } from "../../sim/rig.ts";
import type { Story } from "./dry-stories.ts";

export const TICK_S = 0.1;
const TICK_MS = 100;
/** Covered is judged over the last minute (safety requirement 14), ticks. */
const MINUTE = 600;
/** More air than fuel at the pump's inlet: from here the delay counts. */
export const AIR = 0.5;
/** Air by which the simulator calls the pump dry; a leak that leaves more fuel starves nobody. */
const DRY = 0.9;

const pins: PinMap = loadPins(projectRoot);

/** Share of the last minute that the pick-up was in the fuel. */
export class Covered {
	private readonly was = new Uint8Array(MINUTE);
	private sum = 0;
	private ticks = 0;

	add(isCovered: boolean): number {
		const place = this.ticks % MINUTE;
		this.sum -= this.was[place] ?? 0;
		this.was[place] = isCovered ? 1 : 0;
		this.sum += this.was[place] ?? 0;
		this.ticks += 1;
		return this.sum / Math.min(this.ticks, MINUTE);
	}
}

export interface Trace {
	readonly rig: Rig;
	/** Ticks from the first with fuel proven on. */
	readonly ticks: number;
	readonly pulses: Float32Array;
	readonly flowLph: Float32Array;
	readonly amps: Float32Array;
	/** Not a number where no gauge is fitted. */
	readonly vacuumKpa: Float32Array;
	/** Share of the last minute that the pick-up was covered. */
	readonly coveredShare: Float32Array;
	/** Air at the pump's inlet, share. */
	readonly airShare: Float32Array;
}

/** @returns null where the pump never got its fuel */
export function recordTrace(story: Story, seconds: number, happensAtS: number): Trace | null {
	const { rig, world } = story;
	const model = new RigModel(rig, world);
	const board = new ModelBoard(model, pins, world.seed ?? 0);
	const plan = planSense(rig, pins);
	const ticks = Math.round(seconds / TICK_S);
	const row = () => new Float32Array(ticks);
	const [pulses, flowLph, amps, vacuumKpa, coveredShare, airShare] = [
		...[row(), row(), row()],
		...[row(), row(), row()],
	] as const;
	let state = senseAtBoot(0);
	let primedTicks = 0;
	let began = -1;
	const covered = new Covered();
	for (let tick = 0; ; tick += 1) {
		const nowMs = tick * TICK_MS;
		const moment = { elapsedMs: TICK_MS, motorOn: tick > 0, polishing: began >= 0 };
		const rest = { nowMs, run: "trace", tank: "port", sameTank: true, toTank: undefined };
		const now = sense(plan, state, board.read(nowMs), { ...moment, ...rest });
		state = now.state;
		const { sensed } = now;
		const flow = typeof sensed.flowLph === "number" ? sensed.flowLph : 0;
		primedTicks = flow >= rig.setpoints.primedFlowLph ? primedTicks + 1 : 0;
		if (began < 0 && primedTicks * TICK_MS >= rig.setpoints.primedForMs) began = tick;
		if (began < 0 && tick > 1_200) return null;
		const at = tick - began;
		const share = covered.add(model.path.pickUp.depthM > 0);
		if (began >= 0) {
			if (at >= ticks) break;
			pulses[at] = sensed.pulses;
			flowLph[at] = flow;
			amps[at] = typeof sensed.motorAmps === "number" ? sensed.motorAmps : Number.NaN;
			vacuumKpa[at] = typeof sensed.vacuumKpa === "number" ? sensed.vacuumKpa : Number.NaN;
			coveredShare[at] = share;
			airShare[at] = model.path.pumpAirShare;
			const sinceS = at * TICK_S - happensAtS;
			if (sinceS >= 0) story.happens(model, sinceS);
		}
		const beat = tick % 2 === 0;
		const probe = { "probe-plus": state.probe.plus, "probe-minus": !state.probe.plus };
		board.drive({ ...ALL_OFF, ...probe, "pump-demand": true, "dead-man-beat": beat });
		model.step(TICK_S);
	}
	return { rig, ticks, pulses, flowLph, amps, vacuumKpa, coveredShare, airShare };
}

/** Ticks of air to the end that count as lasting. */
const LASTS = 200;

/** When the air came that never went again, by the truth; null where fuel came to the end. */
export function airFromTick({ airShare, ticks }: Trace): number | null {
	let from = ticks;
	while (from > 0 && (airShare[from - 1] ?? 0) >= AIR) from -= 1;
	return ticks - from < LASTS || (airShare[ticks - 1] ?? 0) < DRY ? null : from;
}
