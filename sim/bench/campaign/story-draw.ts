// Draws a whole story from one seed: rig, world, order, faults, and how long it is left to itself
// before somebody comes. What comes out is a rig and a scenario as a person could write them.

import type { Rig } from "../../../firmware/config/rig.ts";
import type { Scenario } from "../scenario.ts";
import { Dice } from "./dice.ts";
import { drawFaults, drawOnset, neededBy } from "./fault-draw.ts";
import { type DrawnOrder, drawOrder, drawWork } from "./order-draw.ts";
import { drawRig } from "./rig-draw.ts";
import { drawWorld } from "./world-draw.ts";

export interface Story {
	readonly seed: number;
	readonly rig: Rig;
	readonly scenario: Scenario;
	readonly order: DrawnOrder;
	readonly attended: boolean;
	/** Nobody comes for so long after the order has stopped, s. */
	readonly comesAfterS: number;
	/** Nor for so long after the last fault where it goes on, s. */
	readonly lingersS: number;
	/** Who attends sees a spill within so long, s. */
	readonly seesAfterS: number;
}

/** The longest that a run's order pumps, where nobody says, h. */
export const HOURS_MAX = 1.5;
/** Of a hundred stories so many have a person at the rig, and a rig with fewer sensors. */
const ATTENDED_PCT = 25;
/** After the arming has been given its time, s. */
const ORDER_AT_S = 15;

/** @param hoursMax the longest that the order pumps, h */
export function drawStory(seed: number, hoursMax: number = HOURS_MAX): Story {
	const on = (subject: string) => new Dice(seed, subject);
	const faults = drawFaults(on("faults"), seed);
	const attended = on("people").chance(ATTENDED_PCT);
	const rig = drawRig(on("rig"), { attended, fitted: neededBy(faults) }, seed);
	const tank = rig.tanks[on("tank").whole(0, rig.tanks.length - 1)]?.name ?? "";
	const work = drawWork(on("work"), rig);
	const others = rig.tanks.filter(({ name }) => name !== tank);
	const other = others[on("other tank").whole(0, others.length - 1)]?.name ?? tank;
	const to = work === "transfer" ? other : tank;
	const world = { ...drawWorld(on("world"), rig, tank, to), armed: !attended };
	const minutesMax = 60 * hoursMax;
	const order = drawOrder(on("order"), rig, { work, start: world, attended, minutesMax });
	const { polish } = order.order;
	const sweeps = work === "sweep" || polish?.sweepFirst === true;
	const start = sweeps ? world : lookedAt(world, tank, rig);
	const { pumpMinutes, standMinutes } = order;
	const rests = pumpMinutes > 1.2 * rig.pump.runMinutesMax;
	const restMinutes = (rests ? rig.pump.restMinutes : 0) + standMinutes;
	const times = { pumpMinutes, restMinutes };
	const waits = on("waits");
	return {
		seed,
		rig,
		order,
		attended,
		scenario: {
			title: `Campaign, seed ${seed}`,
			story: "",
			invented: true,
			rig: "drawn",
			seed,
			start,
			orders: [{ ...order.order, atSeconds: ORDER_AT_S }],
			plans: [],
			crew: [],
			weather: [],
			nearly: [],
			faults: faults.map((fault, i) => drawOnset(on(`onset ${i}`), fault, times)),
			hoursMax: 200,
			expect: [{ outcome: "finished" }],
		},
		comesAfterS: waits.chance(70) ? 90 : waits.whole(90, 1_800),
		lingersS: Math.round(waits.scaled(300, 2_400)),
		seesAfterS: waits.whole(5, 30),
	};
}

/**
 * Who does without bursts has looked at the floor: a slug larger than the bowl's room above its
 * probe outruns any probe. That it may be there all the same is the fault `water-slug`.
 */
function lookedAt(start: Scenario["start"], tank: string, { bowl }: Rig): Scenario["start"] {
	const held = start.tanks[tank];
	if (held === undefined) return start;
	const roomLitres = bowl.probeToCarryoverMl / 1_000;
	const freeWaterLitres = Math.min(held.freeWaterLitres, roomLitres);
	return { ...start, tanks: { ...start.tanks, [tank]: { ...held, freeWaterLitres } } };
}
