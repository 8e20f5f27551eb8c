// Orders as the statechart keeps them, and the rules by which one is refused. Pure; trusts its
// types once a schema has passed.

import type { Rig } from "../config/rig.ts";
import { armingGap } from "./arming.ts";
import { type DilutionGoal, dilutionGoal } from "./dilution-goal.ts";
import type { Present } from "./events.ts";
import { type HoldCause, waitsFor } from "./holds.ts";
import type { Polish, Work } from "./order-schemas.ts";
import { type SweepPlan, sweepGap, sweepPlan } from "./sweep-plan.ts";
import { type Depths, fillPctOf, transferRefusals } from "./transfer-room.ts";

export const workNames = ["polish", "transfer", "sweep"] as const;

/** An order as the statechart keeps it. It ends with the first of its goals. */
export interface Order {
	readonly id: string;
	readonly work: (typeof workNames)[number];
	/** The tank that the tube stands in. */
	readonly tank: string;
	/** The tank that the return hangs in where that is another one. */
	readonly toTank: string | null;
	readonly goalLitres: number | null;
	readonly goalHours: number | null;
	/** Level under the return, share of that tank. */
	readonly goalShare: number | null;
	/** What the tank holds, as far as anybody has said. */
	readonly turnoverLitres: number;
	readonly dilution: DilutionGoal | null;
	/** Bursts and stands: all of a sweep, the beginning of a polish. */
	readonly sweep: SweepPlan | null;
	readonly attended: boolean;
}

const NO_GOAL = { goalLitres: null, goalHours: null, goalShare: null, dilution: null } as const;

/** The order that a piece of work makes; names of tanks have been checked. */
export function orderFrom(id: string, work: Work, rig: Rig): Order {
	const volumeOf = (name: string) =>
		rig.tanks.find((tank) => tank.name === name)?.volumeLitres ?? 0;
	if ("polish" in work) return { id, ...polishOrder(work.polish, volumeOf, rig) };
	if ("transfer" in work) {
		const { from, to, litres, fromDipLitres, attended } = work.transfer;
		return {
			...NO_GOAL,
			id,
			work: "transfer",
			tank: from,
			toTank: to,
			goalLitres: litres ?? null,
			goalShare: fillPctOf(work.transfer, rig) / 100,
			turnoverLitres: fromDipLitres ?? volumeOf(from),
			sweep: null,
			attended,
		};
	}
	const { tank, attended } = work.sweep;
	const sweep = sweepPlan(rig, work.sweep);
	const turnoverLitres = volumeOf(tank);
	return { ...NO_GOAL, id, work: "sweep", tank, toTank: null, turnoverLitres, sweep, attended };
}

function polishOrder(
	polish: Polish,
	volumeOf: (tank: string) => number,
	rig: Rig,
): Omit<Order, "id"> {
	const { tank, attended, targetDilution, turnovers } = polish;
	const turnoverLitres = polish.dipLitres ?? volumeOf(tank);
	const dilution =
		targetDilution === undefined ? null : dilutionGoal(targetDilution, turnoverLitres, rig);
	const turned = turnovers === undefined ? undefined : turnovers * turnoverLitres;
	const goalLitres = polish.litres ?? turned ?? dilution?.litres ?? null;
	// A slug outruns the probe: what nobody attends begins with bursts.
	const sweep = (polish.sweepFirst ?? !attended) ? sweepPlan(rig) : null;
	const goalHours = polish.hours ?? null;
	const goals = { goalLitres, goalHours, goalShare: null, dilution };
	return { work: "polish", tank, toTank: null, ...goals, turnoverLitres, sweep, attended };
}

/** What stands against this work; empty when it may be taken. */
export function refusals(work: Work, rig: Rig, state: string, present: Present): string[] {
	const order = orderFrom("", work, rig);
	return [
		...workRefusals(work, rig, present.depths),
		...(state === "idle" ? [] : [`the controller is ${state}`]),
		...permitBlockers(order, present),
		...silentBlockers(order, present),
		...startBlockers(present, order),
		...waitsFor(waitsOf(order, present)),
	];
}

/**
 * What lies in the work itself: no night will change it.
 * @param depths what the tanks hold by their levels; null where nobody is to know that yet
 */
export function workRefusals(work: Work, rig: Rig, depths: Depths | null): string[] {
	const order = orderFrom("", work, rig);
	const gap = order.sweep === null ? null : sweepGap(rig, order.sweep);
	return [
		...tankRefusals(order, rig),
		...ownRefusals(work, rig, depths),
		...(gap === null ? [] : [gap]),
	];
}

function tankRefusals({ tank, toTank }: Order, rig: Rig): string[] {
	const names = rig.tanks.map(({ name }) => name);
	const missing = [tank, ...(toTank === null ? [] : [toTank])].filter((t) => !names.includes(t));
	return missing.map((name) => `no tank "${name}"; there are: ${names.join(", ")}`);
}

function ownRefusals(work: Work, rig: Rig, depths: Depths | null): string[] {
	if ("transfer" in work) return transferRefusals(work.transfer, rig, depths);
	if ("sweep" in work) return [];
	const { tank, dipLitres, hours } = work.polish;
	const reasons: string[] = [];
	const volume = rig.tanks.find(({ name }) => name === tank)?.volumeLitres;
	if (volume !== undefined && dipLitres !== undefined && dipLitres > volume) {
		reasons.push(`the dip of ${dipLitres} L is more than the tank's ${volume} L`);
	}
	const limitHours = rig.setpoints.timeLimitMinutes / 60;
	if (hours !== undefined && hours >= limitHours) {
		reasons.push(`${hours} h of pumping do not fit the time limit of ${limitHours} h`);
	}
	return reasons;
}

/** What an order waits for: quiet hours are for those who would hear what nobody attends. */
export function waitsOf(
	{ attended }: Pick<Order, "attended">,
	{ holds, quiet }: Pick<Present, "holds" | "quiet">,
): readonly HoldCause[] {
	return attended || quiet.length === 0 ? holds : [...holds, ...quiet];
}

/** What an order that nobody attends lacks of its permits; an attended one needs none. */
export function permitBlockers(
	order: Pick<Order, "attended" | "tank" | "toTank">,
	permits: Pick<Present, "commissioned" | "arming" | "gaps">,
): string[] {
	if (order.attended) return [];
	const reasons = [...permits.gaps];
	if (!permits.commissioned) reasons.push("the rig is not commissioned");
	const gap = armingGap(permits.arming, order);
	if (gap !== null) reasons.push(gap);
	return reasons;
}

/** Channels that an order which nobody attends must not be without. */
export function silentBlockers(
	{ attended }: Pick<Order, "attended">,
	{ unknownOptional }: Present,
): string[] {
	if (attended || unknownOptional.length === 0) return [];
	return [`unknown: ${unknownOptional.join(", ")}`];
}

/** What keeps any start from happening, whoever asked for it. */
export function startBlockers(
	present: Present,
	order: Pick<Order, "toTank"> | null = null,
): string[] {
	const reasons: string[] = [];
	if (present.stop !== "made") reasons.push("the stop button is not released");
	if (present.probe !== "dry") reasons.push(`the water probe reads ${present.probe}`);
	if (present.unknown.length > 0) reasons.push(`unknown: ${present.unknown.join(", ")}`);
	reasons.push(...present.blockers);
	if (order?.toTank === null) reasons.push(...present.oneTankBlockers);
	if (present.logFailed) reasons.push("the log has failed");
	return reasons;
}
