// Draws how the world is as the story begins: what is in the tanks, sea, air, battery, meter's
// error. Ranges are invented; most stay within what a rig is used in, some go beyond it.

import type { Rig } from "../../../firmware/config/rig.ts";
import type { Scenario } from "../scenario.ts";
import { type Dice, rounded } from "./dice.ts";

type Start = Scenario["start"];

/** Rest volts of a charged battery of 12 V, and how far below it they may be drawn. */
const CHARGED = { flooded: 12.7, absorbed: 12.9, "iron-phosphate": 13.35 } as const;
const BELOW = { flooded: 0.45, absorbed: 0.45, "iron-phosphate": 0.2 } as const;

/** At rest and charged, V. */
export function chargedVolts({ supply, pump }: Rig): number {
	return CHARGED[supply.chemistry] * (pump.ratedVolts / 12);
}

/** @param tank where the tube stands @param to where the return hangs */
export function drawWorld(dice: Dice, rig: Rig, tank: string, to: string): Start {
	const isCold = dice.chance(5);
	const airC = isCold ? dice.whole(-4, 3) : dice.whole(4, 30);
	const isTurbine = rig.meter.kind === "turbine";
	const errorPct = isTurbine ? 1.5 : 0.5;
	const { chemistry } = rig.supply;
	const volts = CHARGED[chemistry] - dice.share() * BELOW[chemistry];
	const sea = {
		rollDeg: rounded(dice.between(1, dice.chance(20) ? 25 : 10)),
		periodS: rounded(dice.between(3, 8)),
	};
	return {
		commissioned: true,
		armed: true,
		tube: tank,
		return: to,
		airC,
		airSwingK: dice.whole(0, 5),
		altitudeM: dice.chance(10) ? dice.whole(200, 1_200) : 0,
		...(dice.chance(60) ? { sea } : {}),
		chargerAmps: dice.chance(30) ? dice.whole(2, 15) : 0,
		batteryVolts: (Math.round(volts * 100) / 100) * (rig.pump.ratedVolts / 12),
		waterOhm: Math.round(dice.scaled(500, 150_000)),
		meterErrorPct: rounded(dice.between(-errorPct, errorPct)),
		tanks: Object.fromEntries(
			rig.tanks.map(({ name, volumeLitres }) => [
				name,
				name === tank
					? ordered(dice, volumeLitres, tank === to)
					: bystander(dice, volumeLitres, name === to),
			]),
		),
	};
}

/** The tank that the tube stands in; one that is to be emptied is not low. */
function ordered(dice: Dice, volumeLitres: number, mayBeLow: boolean): Start["tanks"][string] {
	const isWet = dice.chance(12);
	const isLow = dice.chance(12) && mayBeLow;
	return {
		fuelLitres: rounded(
			volumeLitres * (isLow ? dice.between(0.03, 0.15) : dice.between(0.15, 0.92)),
		),
		freeWaterLitres: isWet ? rounded(dice.scaled(0.02, 1.2)) : 0,
		dispersedWaterPpm: dice.whole(30, 300),
		dirtGrams: dice.whole(2, 50),
		sludgeGrams: dice.chance(30) ? dice.whole(1, 40) : 0,
	};
}

/** Another tank; one that is to be filled has room. */
function bystander(dice: Dice, volumeLitres: number, isFilled: boolean): Start["tanks"][string] {
	return {
		fuelLitres: Math.round(volumeLitres * dice.between(0.05, isFilled ? 0.55 : 0.9)),
		freeWaterLitres: 0,
		dispersedWaterPpm: 60,
		dirtGrams: 5,
		sludgeGrams: 0,
	};
}
