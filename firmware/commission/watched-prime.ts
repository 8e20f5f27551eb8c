// How long the pump takes to bring fuel, and what the motor draws on air and under load: medians of
// some seconds, after the inrush. Pure.

import type { ProvingPlan } from "./plan.ts";
import { endOfRun, failed, judged, medianOf, rounded } from "./trial.ts";
import { AMPS_COUNT, type Watch, withAmps } from "./watching.ts";

interface Prime {
	/** Tries so far. */
	readonly tries: number;
	/** The pump's time on air in this try, ms. */
	readonly drawMs: number;
	readonly airAmps: readonly number[];
	readonly loadAmps: readonly number[];
	/** The pump's time on fuel, ms. */
	readonly fuelMs: number;
}

/** The inrush is over by then, ms. */
const INRUSH_MS = 1_000;
const SETTLED_MS = 3_000;
/** The meter's last block still tells of air before that; fewer readings tell nothing. */
const COUNT_MIN = 10;

export const prime: Watch<Prime> = {
	begin: { tries: 0, drawMs: 0, airAmps: [], loadAmps: [], fuelMs: 0 },
	entries: [],
	watch(own, scene, isOver) {
		const { plan, name, motorOn, cycle, sensed, nowMs, beforeMs } = scene;
		if (isOver) {
			const isDone = cycle.context.trips.length === 0 && own.loadAmps.length >= COUNT_MIN;
			if (isDone) return { own, end: verdict(own, plan) };
			return { own, end: failed([endOfRun(scene)]) };
		}
		if (!motorOn) return { own };
		const elapsedMs = nowMs - beforeMs;
		if (name === "priming") {
			const { primeTry } = cycle.context;
			const was = primeTry > own.tries ? { ...own, tries: primeTry, drawMs: 0, airAmps: [] } : own;
			const drawMs = was.drawMs + elapsedMs;
			const { flowLph } = sensed;
			const isAir = typeof flowLph === "number" && flowLph < plan.rig.setpoints.dryFlowLph;
			const airAmps = isAir && drawMs > INRUSH_MS ? withAmps(was.airAmps, scene) : was.airAmps;
			return { own: { ...was, drawMs, airAmps } };
		}
		if (name !== "polishing") return { own };
		const fuelMs = own.fuelMs + elapsedMs;
		const loadAmps = fuelMs > SETTLED_MS ? withAmps(own.loadAmps, scene) : own.loadAmps;
		const now = { ...own, fuelMs, loadAmps };
		const isDone = loadAmps.length === AMPS_COUNT || fuelMs > SETTLED_MS + 2 * AMPS_COUNT * 100;
		return isDone ? { own: now, end: verdict(now, plan) } : { own: now };
	},
	asks: () => "wait",
	say: ({ fuelMs }) => (fuelMs > 0 ? "Fuel has come: the current is taken." : "It primes."),
};

function verdict({ tries, drawMs, airAmps, loadAmps }: Prime, plan: ProvingPlan) {
	const load = medianOf(loadAmps);
	const air = airAmps.length < COUNT_MIN ? null : medianOf(airAmps);
	const { noCurrentA, overcurrentA } = plan;
	const reasons: string[] = [];
	if (tries !== 1) reasons.push(`it took ${tries} tries to prime`);
	if (load === null || loadAmps.length < COUNT_MIN) reasons.push("the motor's current is unknown");
	else if (load <= noCurrentA || load >= overcurrentA) {
		const limits = `${rounded(noCurrentA, 2)} to ${rounded(overcurrentA, 2)} A`;
		reasons.push(`the motor draws ${rounded(load, 2)} A, outside ${limits}`);
	}
	return judged(reasons, {
		primeSeconds: rounded(drawMs / 1000, 1),
		tries,
		...(air === null ? {} : { airAmps: rounded(air, 2) }),
		...(load === null ? {} : { loadAmps: rounded(load, 2) }),
	});
}
