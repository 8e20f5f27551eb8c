// What the controller made of its sensors in the last tick, for who looks at it and never decides
// anything by it. It listens at the stages of the tick. Pure.

import type { Rig } from "./config/rig.ts";
import { type ControllerState, STAGES } from "./controller.ts";
import { acknowledgeBlockers } from "./cycle/context.ts";
import { coverageGaps } from "./cycle/coverage.ts";
import { trips } from "./cycle/trips.ts";
import { cutTo } from "./frame-text.ts";
import type { Senses } from "./link/protocol.ts";
import { quietCauses } from "./schedule.ts";
import { presentOf } from "./sense/present.ts";
import type { Sensed } from "./sense/sensed.ts";

type Find = typeof STAGES.find;

/** So many reasons, and so many bytes of each: the answer must fit a frame. */
const BLOCKED_MAX = 3;
const WHY_BYTES_MAX = 60;

export class LastLook {
	/** To be given to the controller that is looked at. */
	readonly stages: typeof STAGES;
	private readonly rig: Rig;
	private readonly gaps: readonly string[];
	private seen: {
		plan: Parameters<Find>[0];
		sensed: Sensed;
		findings: ReturnType<Find>["state"];
	} | null = null;

	/** @param stages those that are listened at */
	constructor(rig: Rig, stages = STAGES) {
		this.rig = rig;
		this.gaps = coverageGaps(rig);
		const find: Find = (plan, before, sensed, moment) => {
			const found = stages.find(plan, before, sensed, moment);
			if (this.seen === null) this.seen = { plan, sensed, findings: found.state };
			else {
				this.seen.sensed = sensed;
				this.seen.findings = found.state;
			}
			return found;
		};
		this.stages = { ...stages, find };
	}

	/** What was sensed last; null before the first tick. */
	get sensed(): Sensed | null {
		return this.seen === null ? null : this.seen.sensed;
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

	/**
	 * Why an acknowledgement at the box would be refused now: by trip, and where no trip stands
	 * against it, by what keeps the order from going on, told of the worst trip.
	 */
	private blocked(state: ControllerState, commissioned: boolean): Senses["blocked"] {
		const { arming, logFailed, cycle, schedule, nowMs } = state;
		const { order, trips: open } = cycle.context;
		const [worst] = open;
		if (this.seen === null || worst === undefined) return [];
		const { plan, sensed, findings } = this.seen;
		const quiet = quietCauses(this.rig, schedule.clock, nowMs);
		const attended = order?.attended ?? true;
		const permits = { commissioned, arming, logFailed, attended, gaps: this.gaps, quiet };
		const present = presentOf(plan, sensed, findings, permits);
		const still = open.flatMap(({ code, drainSeen }) => {
			const why = trips[code].stillThere(present, drainSeen);
			return why === null ? [] : [{ code, why }];
		});
		const asked = { from: "box", pressedMs: nowMs, present } as const;
		const against = () =>
			acknowledgeBlockers(cycle.context, asked).map((why) => ({ code: worst.code, why }));
		return (still.length > 0 ? still : against())
			.slice(0, BLOCKED_MAX)
			.map(({ code, why }) => ({ code, why: cutTo(why, WHY_BYTES_MAX) }));
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
