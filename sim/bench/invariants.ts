// What must hold in every run, whatever is broken: the invariants of sim/faults.ts, judged from the
// simulator's truth and not from what the controller wrote, with the time of the first violation.
// A fault's row may relax one, with its reason; so does a sensor that an attended rig lacks.
// Numbers are those of the safety requirements.

import { type CoveredHazard, coverageOf } from "../../firmware/cycle/coverage.ts";
import type { StateName } from "../../firmware/cycle/effects.ts";
import { hours, litres, rigTally } from "../../firmware/totals.ts";
import { faultRows, type Invariant, invariants, usualSize } from "../faults.ts";
import type { RigModel } from "../rig.ts";
import { DryWatch } from "./dry-watch.ts";
import type { BenchRun } from "./session.ts";

/** Rounding of what is none, mL. */
const WATER_ML = 1e-6;
/** Before a leak is seen, and what runs out of a hose that has fallen, L. */
const SPILL_LITRES = 0.25;
/** After the last tick; the dead-man lets go within 1.5 s. */
const DEAD_S = 2;
/** Under the floor of a battery of 12 V for no longer, V and s. */
const FLOOR = { volts: 10.2, seconds: 10 };
/** Share of the volume of a tank that another one is emptied into; what it had is not counted. */
const FULL_SHARE = 0.97;
/** A class B winding stands 130 °C and is some 30 K hotter than the case (common practice), °C. */
const CASE_C = 100;
/** Beyond the pump's rated run: proofs of contacts that are welded, s. */
const DUTY_S = 5;
/** Within 10 K of calibration, %; and what the air of a prime turns of the meter, L a start. */
const LITRES = { "positive-displacement": 2, turbine: 5, litres: 0.1 } as const;
/** The greater of the two: share of the hours, and s a start. */
const HOURS = { share: 0.001, startS: 0.1 };

/** Without these an attended order may go on, and only the person there guards the invariant. */
const guards: Partial<Record<Invariant, readonly CoveredHazard[]>> = {
	"no spill": ["hose-leaks", "return-falls-out", "return-in-another-tank", "tank-overflows"],
	"destination below its ullage": ["return-in-another-tank", "tank-overflows"],
	"motor within its heat": ["motor-overheats"],
};

/** Judged when a run ends, from what was counted in all of it. */
export const isCounted = (name: Invariant): boolean =>
	name === "litres as pumped" || name === "hours as pumped";

type Ended = Omit<BenchRun, "violations">;

export interface Violation {
	readonly invariant: Invariant;
	readonly atSeconds: number;
}

/** Watches one run; `afterStep` is for the runner. */
export class Watch {
	private readonly firstS = new Map<Invariant, number>();
	private readonly dry = new DryWatch();
	private lowSeconds = 0;
	private dutySeconds = 0;
	private starts = 0;
	private powered = false;
	private thenS = 0;
	private deadS = Number.POSITIVE_INFINITY;
	private wasFull: number | null = null;
	private readonly lateS: number;

	/** @param lateS as a fault's row may have it, for what a test does to the world without one */
	constructor(lateS = 0) {
		this.lateS = lateS;
	}

	readonly afterStep = (model: RigModel, doing: StateName): void => {
		const { path, motor, elapsedS } = model;
		const dtS = elapsedS - this.thenS;
		this.thenS = elapsedS;
		const { powered } = motor;
		if (powered && !this.powered) this.starts += 1;
		this.powered = powered;
		const { truth } = path;
		if (truth.freeWaterPastBowlMl > WATER_ML) this.note("no free water past the bowl");
		if (truth.litresSpilled > SPILL_LITRES) this.note("no spill");
		if (motor.caseC > CASE_C) this.note("motor within its heat");
		if (!model.has("controller-hangs")) this.deadS = Number.POSITIVE_INFINITY;
		else if (this.deadS > elapsedS) this.deadS = elapsedS;
		this.work(model, dtS);
		const { dryRunSecondsMax } = model.rig.pump;
		this.dry.step(elapsedS, dtS, powered, path.dry, doing);
		if (this.dry.isTooLong) this.note("no long dry run");
		if (this.dry.isPrimedTooLong(dryRunSecondsMax)) this.note("no long prime");
	};

	/** What can only go wrong while the motor turns, or is forgiven while it does not. */
	private work({ motor, supply, path, rig, elapsedS }: RigModel, dtS: number): void {
		const { runMinutesMax, restMinutes, ratedVolts } = rig.pump;
		if (!motor.powered) {
			this.lowSeconds = 0;
			const rested = restMinutes === 0 ? Infinity : (dtS * runMinutesMax) / restMinutes;
			this.dutySeconds = Math.max(0, this.dutySeconds - rested);
			return;
		}
		if (elapsedS > this.deadS + DEAD_S) this.note("pump off after a dead controller");
		const isLow = supply.volts < (FLOOR.volts * ratedVolts) / 12;
		this.lowSeconds = isLow ? this.lowSeconds + dtS : 0;
		if (this.lowSeconds > FLOOR.seconds) this.note("supply above its floor");
		this.dutySeconds += dtS;
		if (this.dutySeconds > 60 * runMinutesMax + DUTY_S) this.note("pump within its rated run");
		const { returnTank, tubeTank } = path;
		if (returnTank === undefined || returnTank === tubeTank || path.pumpedM3 <= 0) return;
		const share = returnTank.volumeM3 / returnTank.capacityM3;
		this.wasFull ??= share;
		const isOver = share > FULL_SHARE && share > this.wasFull + (1 - FULL_SHARE) / 2;
		if (isOver) this.note("destination below its ullage");
	}

	private note(name: Invariant): void {
		if (!this.firstS.has(name)) this.firstS.set(name, this.thenS);
	}

	/** Whether that has been seen to break so far, relaxed or not. */
	hasSeen(name: Invariant): boolean {
		return this.firstS.has(name);
	}

	/** Names of the invariants that the run has broken, those that are relaxed left out. */
	broken(run: Ended): Invariant[] {
		return this.violations(run).map(({ invariant }) => invariant);
	}

	/** The same with the time of the first violation of each. */
	violations(run: Ended): Violation[] {
		this.account(run);
		return invariants.flatMap((invariant) => {
			const atSeconds = this.firstS.get(invariant);
			if (atSeconds === undefined || isRelaxed(invariant, run)) return [];
			return [{ invariant, atSeconds }];
		});
	}

	/** What is counted up to the end of the run. */
	private account(run: Ended): void {
		const { truth, rig, state } = run;
		const logged = rigTally(state.totals);
		const lateS = this.starts * (this.lateS + latestS(run));
		const offLitres = Math.abs(litres(logged, rig) - truth.litresThroughPump);
		const share = LITRES[rig.meter.kind] / 100;
		const lateLitres = (lateS * rig.pump.freeFlowLph) / 3_600;
		const limitLitres =
			LITRES.litres * Math.max(1, this.starts) + share * truth.litresThroughPump + lateLitres;
		if (offLitres > limitLitres) this.note("litres as pumped");
		const offS = Math.abs(hours(logged) * 3600 - truth.pumpOnSeconds);
		const limitS = Math.max(HOURS.share * truth.pumpOnSeconds, HOURS.startS * this.starts);
		if (offS > limitS + lateS + 1e-6) this.note("hours as pumped");
	}
}

/** How late the controller learns of a stop beside the faults that have struck, s. */
function latestS({ scenario, happened }: Ended): number {
	const struck = scenario.faults.filter(({ fault }) => happened[fault] !== undefined);
	return Math.max(0, ...struck.map(({ fault }) => faultRows[fault].lateS ?? 0));
}

/** Whether a fault that has struck, or a sensor that is not there, relaxes it. */
function isRelaxed(invariant: Invariant, { scenario, happened, rig }: Ended): boolean {
	const isByFault = scenario.faults.some(({ fault, size }) => {
		const { relaxes, relaxesOnly } = faultRows[fault];
		if (happened[fault] === undefined || relaxes?.[invariant] === undefined) return false;
		return relaxesOnly === undefined || relaxesOnly(size ?? usualSize(fault), rig);
	});
	if (isByFault) return true;
	const hazards = guards[invariant] ?? [];
	return coverageOf(rig).some(({ hazard, covered }) => !covered && hazards.includes(hazard));
}
