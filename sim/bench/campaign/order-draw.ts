// Draws the order of a story, and words the one that brings what is left of it. The one file of the
// campaign that knows kinds of orders: a new kind is a case in each of the two functions.

import type { Rig } from "../../../firmware/config/rig.ts";
import type { Scenario } from "../scenario.ts";
import { type Dice, rounded } from "./dice.ts";

export type Order = Omit<Scenario["orders"][number], "atSeconds" | "uponTrip" | "uponState">;

export interface DrawnOrder {
	readonly order: Order;
	/** Of its goal. */
	readonly litres: number;
	/** About as long as it pumps when nothing comes between. */
	readonly pumpMinutes: number;
}

/** Flow over free flow with lift, hoses and an element, as a rig of this class has it. */
const FLOW_SHARE = 0.75;
/** Litres that show after a repair that the rig works again, where nothing is left to do. */
const PROOF_LITRES = 3;

export interface OrderWish {
	readonly tank: string;
	readonly attended: boolean;
	/** The longest that it is to pump. */
	readonly minutesMax: number;
}

export function drawOrder(
	dice: Dice,
	rig: Rig,
	{ tank, attended, minutesMax }: OrderWish,
): DrawnOrder {
	const minutes = dice.scaled(Math.min(8, minutesMax), minutesMax);
	const litres = rounded((FLOW_SHARE * rig.pump.freeFlowLph * minutes) / 60);
	return { order: polish(tank, litres, attended), litres, pumpMinutes: minutes };
}

/** The order again, for what it lacks; a short one where nothing is left. */
export function restOf({ order }: DrawnOrder, litresLeft: number): DrawnOrder {
	const { tank, attended } = order.polish;
	const litres = Math.max(PROOF_LITRES, rounded(litresLeft));
	return { order: polish(tank, litres, attended), litres, pumpMinutes: 0 };
}

const polish = (tank: string, litres: number, attended: boolean): Order => ({
	afterSeconds: 0,
	everyTime: false,
	polish: { tank, litres, attended },
});
