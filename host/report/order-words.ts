// An order in the words of accounts and tables: what is done, where, and up to what. Made from the
// order as the log has it. Pure.

import type { Order } from "../../firmware/cycle/orders.ts";

type Goal = Omit<Order, "id" | "turnoverLitres" | "attended">;

/** As `transfer port into day`. */
export function orderWords({
	work,
	tank,
	toTank,
}: Pick<Order, "work" | "tank" | "toTank">): string {
	return toTank === null ? `${work} ${tank}` : `${work} ${tank} into ${toTank}`;
}

/** As `180 L`, `2.5 h`, `20 L, at most to 93 %`. */
export function goalWords({ work, goalLitres, goalHours, goalShare, sweep }: Goal): string {
	if (work === "sweep" && sweep !== null) return `${sweep.dryBursts} dry bursts`;
	const level = goalShare === null ? "" : `to ${(100 * goalShare).toFixed(0)} %`;
	if (goalLitres !== null) {
		const litres = `${goalLitres.toFixed(goalLitres < 10 ? 2 : 0)} L`;
		return level === "" ? litres : `${litres}, at most ${level}`;
	}
	return goalHours === null ? level : `${goalHours.toFixed(1)} h`;
}

/** What an estimate of dilution promises and does not; null for another goal. */
export function dilutionWords({ dilution }: Pick<Order, "dilution">): string | null {
	if (dilution === null) return null;
	const { target, litres, litresLow, litresHigh } = dilution;
	const share = `${(100 * target).toFixed(target < 0.01 ? 1 : 0)} %`;
	const range = `${litresLow.toFixed(0)} to ${litresHigh.toFixed(0)} L by how well it mixes`;
	const estimate = `An estimate: ${share} of the dirt left after ${litres.toFixed(0)} L`;
	return `${estimate} (${range}). Only a sample says clean.`;
}
