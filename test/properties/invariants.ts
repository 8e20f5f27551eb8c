// What must hold in every run, whatever is broken: the invariants of sim/faults.ts, judged from the
// simulator's truth and not from what the controller wrote. A fault's row may relax one, with its
// reason. Numbers are those of the safety requirements.

import { hours, litres, rigTally } from "../../firmware/totals.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import { faultRows, type Invariant, invariants } from "../../sim/faults.ts";
import type { RigModel } from "../../sim/rig.ts";

/** A drop that was over the probe before the pump stood, mL. */
const WATER_ML = 1;
/** Before a leak is seen, and what runs out of a hose that has fallen, L. */
const SPILL_LITRES = 0.25;
/** After the last tick; the dead-man lets go within 1.5 s. */
const DEAD_S = 2;
/** Under the floor of a battery of 12 V for no longer, V and s. */
const FLOOR = { volts: 10.2, seconds: 10 };
/** A tank that another one is emptied into, share of its volume: over the line at 95 %. */
const FULL_SHARE = 0.97;
/** With a meter of positive displacement, %; and of the motor's hours, s a start. */
const LITRES_PCT = 2;
const HOURS_S = 2;

/** Watches one run; `afterStep` is for the runner. */
export class Watch {
	private drySeconds = 0;
	private dryMax = 0;
	private lowSeconds = 0;
	private lowMax = 0;
	private fullMax = 0;
	private starts = 0;
	private powered = false;
	private thenS = 0;

	readonly afterStep = (model: RigModel): void => {
		const { path, motor, supply, elapsedS } = model;
		const dtS = elapsedS - this.thenS;
		this.thenS = elapsedS;
		if (motor.powered && !this.powered) this.starts += 1;
		this.powered = motor.powered;
		this.drySeconds = motor.powered && path.dry ? this.drySeconds + dtS : 0;
		this.dryMax = Math.max(this.dryMax, this.drySeconds);
		const isLow = motor.powered && supply.volts < FLOOR.volts;
		this.lowSeconds = isLow ? this.lowSeconds + dtS : 0;
		this.lowMax = Math.max(this.lowMax, this.lowSeconds);
		const { returnTank, tubeTank } = path;
		if (returnTank !== undefined && returnTank !== tubeTank && path.pumpedM3 > 0) {
			this.fullMax = Math.max(this.fullMax, returnTank.volumeM3 / returnTank.capacityM3);
		}
	};

	/** Names of the invariants that the run has broken, those that its faults relax left out. */
	broken(run: BenchRun): Invariant[] {
		const relaxed = run.scenario.faults.flatMap(({ fault }) =>
			Object.keys(faultRows[fault].relaxes ?? {}),
		);
		return invariants.filter((name) => !relaxed.includes(name) && !this.holds(name, run));
	}

	private holds(name: Invariant, run: BenchRun): boolean {
		const { truth, rig, state } = run;
		const logged = rigTally(state.totals);
		switch (name) {
			case "no free water past the bowl":
				return truth.freeWaterPastBowlMl <= WATER_ML;
			case "no spill":
				return truth.litresSpilled <= SPILL_LITRES;
			case "no long dry run":
				return this.dryMax <= rig.pump.dryRunSecondsMax + 0.2;
			case "pump off after a dead controller": {
				const deadS = run.happened["controller-hangs"];
				return deadS === undefined || (run.lastPumpS ?? 0) <= deadS + DEAD_S;
			}
			case "supply above its floor":
				return this.lowMax <= FLOOR.seconds;
			case "destination below its ullage":
				return this.fullMax <= FULL_SHARE;
			case "litres as pumped": {
				const off = Math.abs(litres(logged, rig) - truth.litresThroughPump);
				return off <= 0.1 + (LITRES_PCT / 100) * truth.litresThroughPump;
			}
			case "hours as pumped": {
				const offS = Math.abs(hours(logged) * 3600 - truth.pumpOnSeconds);
				return offS <= HOURS_S * Math.max(1, this.starts);
			}
		}
	}
}
