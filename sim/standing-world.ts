// A world for a rig that no scenario describes: mild day, charged battery, the first tank six
// tenths full with tube and return in it. For boards in real time.

import type { Rig } from "../firmware/config/rig.ts";
import type { WorldStart } from "./rig.ts";

/** @param waterMl free water under the tube, mL */
export function standingWorld(rig: Rig, waterMl: number): WorldStart {
	const [first] = rig.tanks;
	const name = first?.name ?? "";
	const fuelLitres = 0.6 * (first?.volumeLitres ?? 0);
	const freeWaterLitres = waterMl / 1000;
	const holds = { fuelLitres, freeWaterLitres, dispersedWaterPpm: 60, dirtGrams: 20 };
	return {
		tanks: new Map([[name, holds]]),
		tubeTank: name,
		returnTank: name,
		airC: 15,
		batteryVolts: rig.pump.ratedVolts + 0.7,
		waterOhm: 20_000,
		meterErrorPct: 0,
	};
}
