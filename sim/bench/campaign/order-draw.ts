// Draws the order of a story, and words the one that brings what is left of it. The one file of the
// campaign that knows kinds of orders.

import type { Rig } from "../../../firmware/config/rig.ts";
import type { Order as RigOrder } from "../../../firmware/cycle/orders.ts";
import { sweepGap, sweepPlan } from "../../../firmware/cycle/sweep-plan.ts";
import type { Scenario } from "../scenario.ts";
import { type Dice, rounded } from "./dice.ts";

export type Order = Omit<Scenario["orders"][number], "atSeconds" | "uponTrip" | "uponState">;
type Work = Pick<Order, "polish" | "transfer" | "sweep">;
type Transfer = NonNullable<Order["transfer"]>;

export interface DrawnOrder {
	readonly order: Order;
	/** Of its goal. */
	readonly litres: number;
	/** About as long as it pumps when nothing comes between, and stands between its bursts. */
	readonly pumpMinutes: number;
	readonly standMinutes: number;
}

/** Flow over free flow with lift, hoses and an element, as a rig of this class has it. */
const FLOW_SHARE = 0.75;
/** Litres that show after a repair that the rig works again, where nothing is left to do. */
const PROOF_LITRES = 3;
/** Of a hundred orders so many. */
const TRANSFER_PCT = 20;
const SWEEP_PCT = 15;
/** Of room and fuel a transfer asks for this share: what fails in between must fit as well. */
const ROOM_SHARE = 0.3;
/** Level up to which a tank is filled, under the usual ullage line. */
const FULL_SHARE = 0.9;
/** A burst with its start, stand, warning and proofs, min. */
const BURST_MINUTES = 1;

export type WorkName = RigOrder["work"];

/** What is ordered is drawn first: the tanks are filled for it. */
export function drawWork(dice: Dice, rig: Rig): WorkName {
	const draw = dice.whole(0, 99);
	if (draw < TRANSFER_PCT && rig.tanks.length > 1) return "transfer";
	return draw >= 100 - SWEEP_PCT && canSweep(rig) ? "sweep" : "polish";
}

export interface OrderWish {
	readonly work: WorkName;
	readonly start: Scenario["start"];
	readonly attended: boolean;
	/** The longest that it is to pump. */
	readonly minutesMax: number;
}

export function drawOrder(dice: Dice, rig: Rig, wish: OrderWish): DrawnOrder {
	const { work, start, attended, minutesMax } = wish;
	const { tube: tank, return: to } = start;
	const minutes = dice.scaled(Math.min(8, minutesMax), minutesMax);
	const flowLph = FLOW_SHARE * rig.pump.freeFlowLph;
	const litres = rounded((flowLph * minutes) / 60);
	if (work === "sweep") return sweepOf(rig, tank, attended);
	if (work === "transfer") {
		const [room, has] = [roomIn(rig, start, to), start.tanks[tank]?.fuelLitres ?? 0];
		const moved = rounded(Math.min(litres, ROOM_SHARE * room, ROOM_SHARE * has));
		const holds = start.tanks[to]?.fuelLitres ?? 0;
		const transfer = dipped({ from: tank, to, litres: moved, attended }, holds);
		const pumpMinutes = (60 * moved) / flowLph;
		return { order: worded({ transfer }), litres: moved, pumpMinutes, standMinutes: 0 };
	}
	const sweepFirst = !attended && canSweep(rig) && dice.chance(50);
	const standMinutes = sweepFirst ? burstsOf(rig) * BURST_MINUTES : 0;
	const order = worded({ polish: { tank, litres, attended, sweepFirst } });
	return { order, litres, pumpMinutes: minutes, standMinutes };
}

/** Litres up to where a tank may be filled. */
function roomIn(rig: Rig, start: Scenario["start"], name: string): number {
	const volume = rig.tanks.find((tank) => tank.name === name)?.volumeLitres ?? 0;
	return Math.max(0, FULL_SHARE * volume - (start.tanks[name]?.fuelLitres ?? 0));
}

function sweepOf(rig: Rig, tank: string, attended: boolean): DrawnOrder {
	const order = worded({ sweep: { tank, standSeconds: 20, attended } });
	return { order, litres: 0, pumpMinutes: 2, standMinutes: burstsOf(rig) * BURST_MINUTES };
}

/** Who stays at the rig has dipped the tank that is filled: a sender it may lack. */
function dipped(transfer: Transfer, holdsLitres: number): Transfer {
	return transfer.attended ? { ...transfer, toDipLitres: rounded(holdsLitres) } : transfer;
}

/**
 * The order again, for what it lacks; a short one where nothing is left.
 * @param holdsLitres what a tank holds by now
 */
export function restOf(
	{ polish, transfer, sweep }: Work,
	litresLeft: number,
	holdsLitres: (tank: string) => number,
): Work {
	const litres = Math.max(PROOF_LITRES, rounded(litresLeft));
	if (polish !== undefined) {
		const { turnovers: _, hours: __, targetDilution: ___, ...rest } = polish;
		return { polish: { ...rest, litres } };
	}
	if (transfer === undefined) return { sweep };
	const again = dipped({ ...transfer, litres }, holdsLitres(transfer.to));
	return { transfer: again };
}

/** The tank that the tube stands in. */
export function tankOf({ polish, transfer, sweep }: Work): string {
	return polish?.tank ?? transfer?.from ?? sweep?.tank ?? "";
}

const burstsOf = (rig: Rig) => sweepPlan(rig).dryBursts;

/** A bowl with room for bursts that prove fuel; the controller refuses the others. */
const canSweep = (rig: Rig) => sweepGap(rig, sweepPlan(rig)) === null;

const worded = (work: Work): Order => ({ afterSeconds: 0, everyTime: false, ...work });
