// What stands against a transfer: the two tanks, what the one holds and what the other has room
// for, by the dip stick or by the levels. Pure.

import type { Rig } from "../config/rig.ts";
import type { Quantity } from "../sense/quantity.ts";
import { volumeShare } from "../sense/tank-level.ts";
import type { Transfer } from "./order-schemas.ts";

type Tank = Rig["tanks"][number];

/** Between the level at which it ends by itself and the ullage line that trips, % of the tank. */
const UNDER_LINE_PCT = 2;

/** The level at which a transfer ends, % of the destination. */
export function fillPctOf({ fillToPct }: Transfer, rig: Rig): number {
	return fillToPct ?? rig.setpoints.destinationFullPct - UNDER_LINE_PCT;
}

/** Depth shares under tube and return as they are read while nothing runs. */
export interface Depths {
	readonly levelFrom: Quantity;
	readonly levelTo: Quantity;
}

/**
 * @param depths null where nobody is to know yet what the tanks will hold
 * @returns reasons, empty when there is room and fuel enough
 */
export function transferRefusals(transfer: Transfer, rig: Rig, depths: Depths | null): string[] {
	const { from, to, litres } = transfer;
	const { destinationFullPct, sourceLowPct } = rig.setpoints;
	const source = rig.tanks.find(({ name }) => name === from);
	const destination = rig.tanks.find(({ name }) => name === to);
	if (source === undefined || destination === undefined) return [];
	if (source === destination)
		return [`a transfer from ${from} into ${from} moves nothing: polish it`];
	const fillPct = fillPctOf(transfer, rig);
	if (fillPct >= destinationFullPct) {
		return [`filling ${to} to ${fillPct} % passes its ullage line at ${destinationFullPct} %`];
	}
	const reasons: string[] = [];
	for (const [dip, tank] of [
		[transfer.fromDipLitres, source],
		[transfer.toDipLitres, destination],
	] as const) {
		if (dip === undefined || dip <= tank.volumeLitres) continue;
		reasons.push(`the dip of ${dip} L is more than ${tank.name}'s ${tank.volumeLitres} L`);
	}
	if (reasons.length > 0) return reasons;
	const has = transfer.fromDipLitres ?? heldBy(source, depths?.levelFrom);
	const holds = transfer.toDipLitres ?? heldBy(destination, depths?.levelTo);
	const room = holds === null ? null : (destination.volumeLitres * fillPct) / 100 - holds;
	const isWatched = rig.sensors.includes("level-to");
	if (room === null) {
		if (depths !== null) reasons.push(`how full ${to} is nobody knows: dip it, or fit level-to`);
	} else if (room <= 0) {
		reasons.push(
			`${to} is full: it holds ${show(holds)} L, ${fillPct} % is ${show(holds, room)} L`,
		);
	} else if (litres !== undefined && litres > room) {
		reasons.push(`${litres} L is beyond ${to}: it has room for ${show(room)} L up to ${fillPct} %`);
	}
	if (litres === undefined && !isWatched) {
		reasons.push("without level-to a transfer needs its litres: nothing sees the tank fill");
	}
	const low = (source.volumeLitres * sourceLowPct) / 100;
	const wanted = litres ?? 0;
	if (has !== null && has - wanted < low) {
		const words = `${from} holds ${show(has)} L and may not go under ${show(low)} L`;
		reasons.push(`${words}: it gives no ${litres ?? "more"}${litres === undefined ? "" : " L"}`);
	}
	return reasons;
}

const show = (litres: number | null, more = 0) => ((litres ?? 0) + more).toFixed(1);

function heldBy(tank: Tank, depth: Quantity | undefined): number | null {
	return typeof depth === "number" ? volumeShare(tank, depth) * tank.volumeLitres : null;
}
