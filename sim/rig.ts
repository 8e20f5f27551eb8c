// The simulated rig: world, water path, motor and dead-man together, behind named outputs. It
// owns no clock; whoever steps it does. Imports of the firmware: types of its config and seam only.

import type { Outputs } from "../firmware/board/port.ts";
import type { Rig } from "../firmware/config/rig.ts";
import { DeadMan } from "./dead-man.ts";
import type { Fault } from "./faults.ts";
import { Motor } from "./motor.ts";
import { parcel, Store } from "./store.ts";
import { type PathTruth, type Tank, WaterPath } from "./water-path.ts";

/** What a tank holds when the simulation starts. Litres and grams. */
export interface TankStart {
	readonly fuelLitres: number;
	readonly freeWaterLitres: number;
	readonly dispersedWaterPpm: number;
	readonly dirtGrams: number;
}

export interface WorldStart {
	readonly tanks: ReadonlyMap<string, TankStart>;
	readonly tubeTank: string;
	readonly returnTank: string;
	readonly airC: number;
	readonly batteryVolts: number;
	/** Resistance of the bowl's water between the probe's pins, Ω. */
	readonly waterOhm: number;
	/** How far the meter's true K-factor lies above the rig file's, %. */
	readonly meterErrorPct: number;
}

export interface Truth extends PathTruth {
	readonly pumpOnSeconds: number;
	readonly supplyVoltsMin: number;
	readonly motorCaseMaxC: number;
}

class TankStore extends Store implements Tank {
	dirtGrams: number;
	readonly volumeLitres: number;

	constructor(
		volumeLitres: number,
		{ fuelLitres, freeWaterLitres, dispersedWaterPpm, dirtGrams }: TankStart,
	) {
		const dispersed = (fuelLitres * dispersedWaterPpm) / 1e6;
		super(parcel(fuelLitres - dispersed, freeWaterLitres, dispersed));
		this.dirtGrams = dirtGrams;
		this.volumeLitres = volumeLitres;
	}
}

export class RigModel {
	readonly path: WaterPath;
	readonly motor: Motor;
	readonly deadMan = new DeadMan();
	readonly faults = new Set<Fault>();
	readonly waterOhm: number;
	readonly meterErrorPct: number;
	stopPressed = false;
	buttonPressed = false;
	isolatorClosed = true;
	/** Litres that have passed the meter, as it would count them without a fault. */
	meteredLitres = 0;
	elapsedS = 0;
	/** When water last came up to the probe, s; null while it is below. */
	waterAtProbeS: number | null = null;
	/** When the pump last ran, s; null before it ever did. */
	lastPoweredS: number | null = null;
	private demand = false;

	constructor(rig: Rig, start: WorldStart) {
		const volumes = new Map(rig.tanks.map(({ name, volumeLitres }) => [name, volumeLitres]));
		const tanks = new Map(
			[...start.tanks].map(([name, holds]) => [name, new TankStore(volumes.get(name) ?? 0, holds)]),
		);
		this.path = new WaterPath(rig, tanks, start.tubeTank, start.returnTank);
		this.motor = new Motor(rig, start.batteryVolts, start.airC);
		this.waterOhm = start.waterOhm;
		this.meterErrorPct = start.meterErrorPct;
	}

	/** The scenario's time begins now: what went before was the board's boot. */
	restartClock(): void {
		this.elapsedS = 0;
		this.lastPoweredS = null;
	}

	drive(outputs: Outputs): void {
		this.demand = outputs["pump-demand"];
		this.deadMan.drive(outputs["dead-man-beat"]);
	}

	get k1Closed(): boolean {
		return this.demand || this.faults.has("k1-welded");
	}

	/** The stop button is in series with K2's coil: it needs no computer. */
	get k2Closed(): boolean {
		return (this.deadMan.holds && !this.stopPressed) || this.faults.has("k2-welded");
	}

	step(dtS: number): void {
		const { path, motor } = this;
		this.deadMan.step(dtS);
		path.tubeLifted = this.faults.has("tube-lifted");
		const before = path.truth.litresThroughPump;
		const powered = this.k1Closed && this.k2Closed && this.isolatorClosed;
		path.step(dtS, powered);
		const moved = path.truth.litresThroughPump - before;
		motor.step(dtS, powered, moved > 0);
		if (!this.faults.has("meter-stands-still")) this.meteredLitres += moved;
		this.elapsedS += dtS;
		if (motor.powered) this.lastPoweredS = this.elapsedS;
		if (!path.waterAtProbe) this.waterAtProbeS = null;
		else this.waterAtProbeS ??= this.elapsedS;
	}

	get truth(): Truth {
		const { pumpOnSeconds, voltsMin, caseMaxC } = this.motor;
		return {
			...this.path.truth,
			pumpOnSeconds,
			supplyVoltsMin: voltsMin,
			motorCaseMaxC: caseMaxC,
		};
	}
}
