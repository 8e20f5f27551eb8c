// The plant of one fixed rig twice: the project's own model and its C twin, both driven alike. This
// side builds the model, writes the numbers of set-up that the twin reads, compiles the twin and
// reads what it prints. Needs gcc. The world is invented; the rig is the bench's example.

import { execFileSync, spawnSync } from "node:child_process";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { ALL_OFF, type Outputs } from "../../firmware/board/port.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { batteryKinds } from "../../sim/battery-kinds.ts";
import type { Pipe } from "../../sim/physics/pipe.ts";
import { dipAtVolumeM } from "../../sim/physics/tank-shape.ts";
import { DIESEL_STEEPNESS } from "../../sim/physics/viscosity.ts";
import { RigModel, type WorldStart } from "../../sim/rig.ts";
import {
	dieselOf,
	dirtEfficiency,
	floorFallM,
	kindOf,
	pumpCurve,
	pumpHeightM,
	ratedLiquid,
	returnPipe,
	stallAmps,
	suctionPipe,
	tankShape,
	tubePipe,
} from "../../sim/rig-parts.ts";
import { COARSE, DIRT, DIRT_MICRON, FINE, noMasses } from "../../sim/species.ts";
import type { Tank } from "../../sim/tank.ts";

const STEP_S = 0.1;
/** Pump on for 20 min, then off for 5, over and over. */
const ON_STEPS = 12_000;
const CYCLE_STEPS = 15_000;
/** Of the level table in sim/tank.ts. */
const LEVELS = 512;
/** Of the element's coarse drops in sim/filter.ts. */
const COARSE_PASSES = 0.25;
const SEA = { rollDeg: 6, periodS: 5 };
const SEED = 3;

const WORLD: WorldStart = {
	tanks: new Map([
		[
			"port",
			{
				fuelLitres: 150,
				freeWaterLitres: 0.3,
				dispersedWaterPpm: 200,
				dirtGrams: 30,
				sludgeGrams: 40,
			},
		],
	]),
	tubeTank: "port",
	returnTank: "port",
	airC: 8,
	airSwingK: 5,
	batteryVolts: 12.7,
	waterOhm: 20_000,
	meterErrorPct: 0,
	sea: SEA,
	seed: SEED,
};

export interface Plant {
	readonly rig: Rig;
	readonly model: RigModel;
	readonly tank: Tank;
}

/** @param root the project's folder */
export function createPlant(root: string): Plant {
	const file = join(root, "sim/bench/rigs/teal-willow.rig.yaml");
	const rig = readRig(readInputFile(file), file);
	const model = new RigModel(rig, WORLD);
	const tank = model.path.tanks.get("port");
	if (tank === undefined) throw new Error("the rig has no port tank");
	return { rig, model, tank };
}

/** Of one make, as the controller's are: a property is then found in one place in all of them. */
const driven = (demand: boolean, beat: boolean): Outputs => ({
	...ALL_OFF,
	"pump-demand": demand,
	"dead-man-beat": beat,
});
const AT_REST = driven(false, false);
const LOW = driven(true, false);
const HIGH = driven(true, true);

/** The outputs of a step, as rig_drive() of the twin has them, and the world's step. */
export function advancePlant({ model }: Plant, step: number): void {
	const on = step % CYCLE_STEPS < ON_STEPS;
	model.drive(on ? (step % 2 === 0 ? HIGH : LOW) : AT_REST);
	model.advance(STEP_S);
}

const several = (name: string, masses: ArrayLike<number>): Array<[string, number]> =>
	Array.from(masses, (kg, i) => [`${name}.${i}`, kg]);

/** What is compared, by name; kg where masses are listed by species. Order of the twin's table. */
export function stateOf({ model, tank }: Plant): ReadonlyMap<string, number> {
	const { path, motor, supply, fuel, deadMan } = model;
	const { circuit, bowl, line, element, truth } = path;
	return new Map<string, number>([
		["elapsedS", model.elapsedS],
		["lastPoweredS", model.lastPoweredS ?? Number.NaN],
		["waterAtProbeS", model.waterAtProbeS ?? Number.NaN],
		["rollRad", model.rollRad],
		["reservoirVolts", deadMan.reservoirVolts],
		["litresThroughPump", truth.litresThroughPump],
		["litresReturned", truth.litresReturned],
		["litresSpilled", truth.litresSpilled],
		["freeWaterPastBowlMl", truth.freeWaterPastBowlMl],
		["dispersedWaterPastElementMl", truth.dispersedWaterPastElementMl],
		["dryPumpSeconds", truth.dryPumpSeconds],
		["vacuumKpa", path.vacuumKpa],
		["dischargeKpa", path.dischargeKpa],
		["pumpedM3", path.pumpedM3],
		["pumpedAirM3", path.pumpedAirM3],
		["pumpAirShare", path.pumpAirShare],
		["headShare", path.headShare],
		["outM3s", circuit.outM3s],
		["inM3s", circuit.inM3s],
		["bowlPa", circuit.bowlPa],
		["inletPa", circuit.inletPa],
		["bowlGasJ", bowl.gasJ],
		["lineGasJ", line.gasJ],
		["lineM3", line.liquidM3],
		...several("bulk", tank.bulk),
		...several("floor", tank.floor),
		...several("mixed", bowl.mixed),
		...several("sump", bowl.sump),
		...several("element", element.holds),
		["speed", motor.speed],
		["amps", motor.amps],
		["caseC", motor.caseC],
		["caseMaxC", motor.caseMaxC],
		["onSeconds", motor.onSeconds],
		["volts", supply.volts],
		["voltsMin", supply.voltsMin],
		["ampHours", supply.ampHours],
		["charge", supply.charge],
		["fuelC", fuel.celsius],
		["densityKgM3", fuel.densityKgM3],
		["dynamicPas", fuel.dynamicPas],
		...several("settlingMps", fuel.settlingMps),
	]);
}

const sizesOf = ({ lengthM, boreM, roughnessM, lossK }: Pipe) => [
	lengthM,
	boreM,
	roughnessM,
	lossK,
];

/** The numbers of set-up: a name and its numbers a line, in the order in which the twin reads. */
function rigFileOf({ rig, model, tank }: Plant): string {
	const { bowl, element, pump, supply } = rig;
	const { path, fuel } = model;
	const [port] = rig.tanks;
	if (port === undefined) throw new Error("the rig has no tank");
	const shape = tankShape(port);
	const levels = Array.from({ length: LEVELS + 1 }, (_, i) =>
		dipAtVolumeM(shape, (tank.capacityM3 * i) / LEVELS),
	);
	const heldShare = noMasses();
	DIRT_MICRON.forEach((micron, i) => {
		heldShare[DIRT + i] = dirtEfficiency(rig, micron);
	});
	heldShare[FINE] = element.waterEfficiency;
	heldShare[COARSE] = 1 - COARSE_PASSES * (1 - element.waterEfficiency);
	const battery = batteryKinds[supply.chemistry];
	const kind = kindOf(rig);
	const kindNumbers = [
		...[kind.flowByVolts, kind.headByVolts, kind.headByViscosity],
		...[kind.idleShare, kind.loadShare, kind.dryShare],
	];
	const curve = pumpCurve(rig);
	const numbers: ReadonlyArray<readonly [string, Iterable<number>]> = [
		["atmosphere", [path.atmospherePa]],
		["density15", [dieselOf(rig).density15KgM3]],
		["viscosity40", [dieselOf(rig).viscosityAt40Mm2s]],
		["slope", [dieselOf(rig).slope ?? DIESEL_STEEPNESS]],
		["cloudPoint", [dieselOf(rig).cloudPointC]],
		["fame", [rig.fuel.famePct]],
		["fuelC", [fuel.celsius]],
		["capacity", [tank.capacityM3]],
		["floorArea", [tank.floorAreaM2]],
		["width", [tank.widthM]],
		["floorFall", [floorFallM(port)]],
		["levels", levels],
		["bulk", tank.bulk],
		["floor", tank.floor],
		["kind", kindNumbers],
		["curve", [curve.freeFlowM3s, curve.deadHeadPa, curve.wetSuctionPa, curve.drySuctionPa]],
		["ratedViscosity", [ratedLiquid(rig).dynamicPas]],
		["pumpHeight", [pumpHeightM(rig)]],
		["clearance", [path.pickUp.clearanceM]],
		["tube", sizesOf(tubePipe(rig))],
		["hose", sizesOf(suctionPipe(rig))],
		["returns", sizesOf(returnPipe(rig))],
		["bowl", [bowl.volumeMl, bowl.sumpToProbeMl, bowl.probeToCarryoverMl, bowl.diameterMm]],
		["mixed", path.bowl.mixed],
		["bowlGas", [path.bowl.gasJ]],
		["heldShare", heldShare],
		["element", [element.cleanKpa, element.changeAtKpa, element.dirtToChangeGrams]],
		["motor", [pump.runningAmps, stallAmps(rig), pump.ratedVolts]],
		["battery", [supply.batteryAh, 20, battery.exponent]],
		["ohm", [supply.internalOhm]],
		["fuse", [supply.fuseA]],
		["volts", [WORLD.batteryVolts]],
		["charge", [model.supply.charge]],
		["restCharge", battery.curve.charge],
		["restVolts", battery.curve.volts],
		["roll", [SEA.rollDeg]],
		["period", [SEA.periodS]],
		["phase", [2 * Math.PI * ((SEED % 97) / 97)]],
		["air", [WORLD.airC]],
		["airSwing", [WORLD.airSwingK ?? 0]],
		["pressureSwitch", [pump.pressureSwitchKpa ?? Number.POSITIVE_INFINITY]],
	];
	return numbers.map(([name, list]) => `${[name, ...list].join(" ")}\n`).join("");
}

/** The compiled twin, at rest until it is asked. */
export class PlantTwin {
	private readonly program: string;
	private readonly rigFile: string;

	/**
	 * Compiles the twin into `folder`. `source` takes another folder's C in its place.
	 * @throws Error when there is no gcc, or when it does not take the code
	 */
	constructor(root: string, folder: string, source = join(root, "test/bench")) {
		this.program = join(folder, "plant-twin");
		this.rigFile = join(folder, "rig.txt");
		writeFileSync(this.rigFile, rigFileOf(createPlant(root)));
		const flags = ["-O2", "-std=c99", "-ffp-contract=off", "-Wall", "-Wextra", "-Werror"];
		const files = ["-o", this.program, join(source, "plant-twin.c"), "-lm"];
		const done = spawnSync("gcc", [...flags, ...files], { encoding: "utf8" });
		if (done.error !== undefined) {
			throw new Error("the C twin needs gcc: apt-get install gcc libc6-dev", { cause: done.error });
		}
		if (done.status !== 0) throw new Error(`gcc does not take the C twin:\n${done.stderr}`);
	}

	private ask(steps: number, every: number): string {
		const words = [this.rigFile, String(steps), String(every)];
		return execFileSync(this.program, words, { encoding: "utf8", maxBuffer: 2 ** 28 });
	}

	/** The names of the state, and its values after each `every` steps. */
	states(steps: number, every: number): { names: string[]; rows: number[][] } {
		const [head = "", ...lines] = this.ask(steps, every).trimEnd().split("\n");
		const words = (line: string) => line.trim().split(" ");
		return { names: words(head), rows: lines.map((line) => words(line).map(numberOf)) };
	}

	/** Time of so many steps, s, without the reading of the rig's file; and litres pumped. */
	time(steps: number): { seconds: number; litres: number } {
		const [seconds = Number.NaN, litres = Number.NaN] = this.ask(steps, 0).split(" ").map(Number);
		return { seconds, litres };
	}
}

/** As C prints it. */
const numberOf = (word: string): number => (/nan/.test(word) ? Number.NaN : Number(word));
