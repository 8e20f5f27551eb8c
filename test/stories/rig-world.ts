// A rig model for tests that need no controller: a plain world, and the pump kept running by its
// contacts and its beat, as aboard.

import { ALL_OFF } from "../../firmware/board/port.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { RigModel, type WorldStart } from "../../sim/rig.ts";
import type { Tank, TankStart } from "../../sim/tank.ts";
import { exampleRig } from "./world.ts";

export const STEP_S = 0.1;
export const CLEAN: TankStart = {
	fuelLitres: 180,
	freeWaterLitres: 0,
	dispersedWaterPpm: 0,
	dirtGrams: 0,
};

/** Port tank with tube and return in it, 15 °C, calm, a charged battery. */
export function modelOf(
	port: Partial<TankStart> = {},
	more: Partial<WorldStart> = {},
	rig: Rig = exampleRig(),
): RigModel {
	return new RigModel(rig, {
		tanks: new Map([["port", { ...CLEAN, ...port }]]),
		tubeTank: "port",
		returnTank: "port",
		airC: 15,
		batteryVolts: 12.7,
		waterOhm: 20_000,
		meterErrorPct: 0,
		...more,
	});
}

export function tankOf(model: RigModel, name = "port"): Tank {
	const tank = model.path.tanks.get(name);
	if (tank === undefined) throw new Error(`no tank ${name}`);
	return tank;
}

/** The pump runs, or stands, for so long; `each` is called after every step. */
export function pump(
	model: RigModel,
	seconds: number,
	{ on = true, stepS = STEP_S, each = () => {} }: PumpOptions = {},
): void {
	const steps = Math.round(seconds / stepS);
	for (let i = 0; i < steps; i += 1) {
		model.drive({
			...ALL_OFF,
			"pump-demand": on,
			"dead-man-beat": on && Math.floor(i * stepS * 10 + 1e-6) % 2 === 0,
		});
		model.step(stepS);
		each();
	}
}

interface PumpOptions {
	readonly on?: boolean;
	readonly stepS?: number;
	readonly each?: () => void;
}

/** Flow through the pump at the last step, L/h. */
export const flowLph = (model: RigModel): number => (model.path.pumpedM3 / STEP_S) * 3.6e6;
