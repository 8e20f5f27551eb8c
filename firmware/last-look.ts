// What the controller made of its sensors in the last tick, for who looks at it and never decides
// anything by it. It listens at the stages of the tick. Pure.

import type { Rig } from "./config/rig.ts";
import { type ControllerState, STAGES } from "./controller.ts";
import { coverageGaps } from "./cycle/coverage.ts";
import { trips } from "./cycle/trips.ts";
import type { Senses } from "./link/protocol.ts";
import { quietCauses } from "./schedule.ts";
import { presentOf } from "./sense/present.ts";
import type { Sensed } from "./sense/sensed.ts";

type Find = typeof STAGES.find;

/** A reason is cut to so many characters: the answer must fit a frame. */
const WHY_MAX = 60;

export class LastLook {
	/** To be given to the controller that is looked at. */
	readonly stages: typeof STAGES;
	private readonly rig: Rig;
	private readonly gaps: readonly string[];
	private seen: { args: Parameters<Find>; found: ReturnType<Find> } | null = null;

	/** @param stages those that are listened at */
	constructor(rig: Rig, stages = STAGES) {
		this.rig = rig;
		this.gaps = coverageGaps(rig);
		const find: Find = (...args) => {
			const found = stages.find(...args);
			this.seen = { args, found };
			return found;
		};
		this.stages = { ...stages, find };
	}

	/** What was sensed last; null before the first tick. */
	get sensed(): Sensed | null {
		return this.seen === null ? null : this.seen.args[2];
	}

	/** @param commissioned as the tick was told */
	senses(state: ControllerState, commissioned: boolean): Senses {
		return {
			monoMs: state.nowMs,
			commissioned,
			sensed: this.sensed === null ? null : shownOf(this.sensed),
			blocked: this.blocked(state, commissioned),
		};
	}

	/** Why each open trip cannot be acknowledged yet. */
	private blocked(state: ControllerState, commissioned: boolean): Senses["blocked"] {
		if (this.seen === null) return [];
		const [plan, , sensed] = this.seen.args;
		const { arming, logFailed, cycle, schedule, nowMs } = state;
		const { order, trips: open } = cycle.context;
		const quiet = quietCauses(this.rig, schedule.clock, nowMs);
		const attended = order?.attended ?? true;
		const permits = { commissioned, arming, logFailed, attended, gaps: this.gaps, quiet };
		const present = presentOf(plan, sensed, this.seen.found.state, permits);
		return open.slice(0, 3).flatMap(({ code, drainSeen }) => {
			const why = trips[code].stillThere(present, drainSeen);
			return why === null ? [] : [{ code, why: why.slice(0, WHY_MAX) }];
		});
	}
}

function shownOf(sensed: Sensed): Senses["sensed"] {
	const { flowLph, vacuumKpa, bowlTapKpa, supplyVolts, motorAmps, fuelC, caseC } = sensed;
	const { probe, tray, stop, returnSeat, tubeSeat, levelFrom, levelTo } = sensed;
	return {
		flowLph: rounded(flowLph, 1),
		vacuumKpa: rounded(vacuumKpa, 2),
		bowlTapKpa: rounded(bowlTapKpa, 2),
		supplyVolts: rounded(supplyVolts, 2),
		motorAmps: rounded(motorAmps, 2),
		fuelC: rounded(fuelC, 1),
		caseC: rounded(caseC, 1),
		levelFrom: rounded(levelFrom, 4),
		levelTo: rounded(levelTo, 4),
		probe,
		tray,
		stop,
		returnSeat,
		tubeSeat,
	};
}

const rounded = <Q extends number | string>(value: Q, digits: number): Q | number =>
	typeof value === "number" ? Number(value.toFixed(digits)) : value;
