// What a clean element takes, referred to free flow and 15 °C as everywhere (suction-side.ts): the
// base of its trend, held against the rig file's figure. Pure.

import type { ProvingPlan } from "./plan.ts";
import { endOfRun, failed, judged, rounded } from "./trial.ts";
import type { Watch } from "./watching.ts";

interface Clean {
	readonly sumKpa: number;
	readonly count: number;
	readonly sumC: number;
	readonly countC: number;
	/** Of what lies off for hours; null while unknown. */
	readonly sdKpa: number | null;
	readonly fuelMs: number;
}

/** The suction side has settled, and been sampled, after so long, ms. */
const SETTLED_MS = 45_000;
/** Fewer readings than two blocks of ten seconds tell nothing. */
const COUNT_MIN = 200;
/** The rig file's figure is right within it: the greater of the two (common practice). */
const WITHIN_KPA = 1;
const WITHIN_SHARE = 0.25;

export const element: Watch<Clean> = {
	begin: { sumKpa: 0, count: 0, sumC: 0, countC: 0, sdKpa: null, fuelMs: 0 },
	entries: [],
	watch(own, scene, isOver) {
		const { plan, name, motorOn, sensed, nowMs, beforeMs, cycle } = scene;
		if (isOver) {
			const [trip] = cycle.context.trips;
			if (trip !== undefined) return { own, end: failed([endOfRun(scene)]) };
			if (own.count >= COUNT_MIN) return { own, end: verdict(own, plan) };
			return { own, end: failed(["the run was too short for it: order more litres"]) };
		}
		if (name !== "polishing" || !motorOn) return { own };
		const fuelMs = own.fuelMs + nowMs - beforeMs;
		const { vacuumKpa, bowlTapKpa, pipeKpa, perReferred, fuelC, restriction } = sensed;
		const hasTap = plan.rig.sensors.includes("bowl-tap");
		const pathKpa = hasTap ? bowlTapKpa : pipeKpa;
		const isKnown = typeof vacuumKpa === "number" && typeof pathKpa === "number";
		if (fuelMs < SETTLED_MS || !isKnown || perReferred === null) return { own: { ...own, fuelMs } };
		const isWarmthKnown = typeof fuelC === "number";
		return {
			own: {
				sumKpa: own.sumKpa + (vacuumKpa - pathKpa) / perReferred,
				count: own.count + 1,
				sumC: own.sumC + (isWarmthKnown ? fuelC : 0),
				countC: own.countC + (isWarmthKnown ? 1 : 0),
				sdKpa: restriction?.sdKpa ?? own.sdKpa,
				fuelMs,
			},
		};
	},
	asks: () => "wait",
	say: () => "It is measured until the run ends.",
};

function verdict({ sumKpa, count, sumC, countC, sdKpa }: Clean, { rig }: ProvingPlan) {
	const kpa = sumKpa / count;
	const { cleanKpa } = rig.element;
	const within = Math.max(WITHIN_KPA, WITHIN_SHARE * cleanKpa);
	const found = rounded(kpa, 2);
	const reasons =
		Math.abs(kpa - cleanKpa) <= within
			? []
			: [
					`the clean element takes ${found} kPa, the rig file says ${cleanKpa}`,
					`rig file: element.cleanKpa: ${found}`,
				];
	return judged(reasons, {
		cleanKpa: found,
		...(sdKpa === null ? {} : { uncertaintyKpa: rounded(sdKpa, 2) }),
		fuelC: countC === 0 ? "unknown" : rounded(sumC / countC, 1),
	});
}
