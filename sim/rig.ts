// The simulated rig: tanks and fuel path, motor and supply, dead-man, sensors, sea and weather,
// behind named outputs. It owns no clock; whoever steps it does. Steps of 10 to 100 ms give the
// same answer. Imports of the firmware: its config, and types of its seam.

import type { Outputs } from "../firmware/board/port.ts";
import { notFitted } from "../firmware/config/optional-sensors.ts";
import type { Rig } from "../firmware/config/rig.ts";
import { AtHand } from "./at-hand.ts";
import { BoxShown } from "./box-shown.ts";
import type { BuildFault } from "./build-faults.ts";
import { DeadMan } from "./dead-man.ts";
import { type Ailment, type Fault, sizeAt, usualSize } from "./faults.ts";
import { Fuel } from "./fuel.ts";
import { FuelPath } from "./fuel-path.ts";
import { Motor } from "./motor.ts";
import type { PathTruth } from "./path-truth.ts";
import { pressureAtAltitudePa } from "./physics/atmosphere.ts";
import { NOUGHT } from "./physics/fraction.ts";
import { dieselOf, ratedLiquid } from "./rig-parts.ts";
import { CALM, Sea, type SeaState } from "./sea.ts";
import { channelOf, isSensorFault } from "./sensor-faults.ts";
import { Sensors } from "./sensors.ts";
import {
	DIRT,
	DIRT_SHARES,
	FREE,
	FUEL,
	moveKg,
	moveShare,
	WATER_DENSITY_KG_M3,
} from "./species.ts";
import { Supply } from "./supply.ts";
import { Tank, type TankStart } from "./tank.ts";

/** Fuel in a tank follows the air within about half a day (invented). */
const COOLING_S = 43_200;
const DAY_S = 86_400;
const RAD_PER_DEG = Math.PI / 180;
const CAN_M3 = 20e-3;
/** What settles, charges and cools is reckoned so often. */
const SLOW_S = 1;
/** A charger that does not stop: as many amps as its voltage asks of the battery (invented). */
const MAD_CHARGER_A = 200;
/** The tube stands this share of the tank's width off its middle: the low corner. */
const OFF_MIDDLE = 0.4;

export interface WorldStart {
	readonly tanks: ReadonlyMap<string, TankStart>;
	readonly tubeTank: string;
	readonly returnTank: string;
	/** Mean of the air, and how far day and night go from it, °C and K. */
	readonly airC: number;
	readonly airSwingK?: number | undefined;
	/** The fuel's, where it differs from the air's, °C. */
	readonly fuelC?: number | undefined;
	readonly batteryVolts: number;
	readonly chargerAmps?: number | undefined;
	/** Resistance of the bowl's water between the probe's pins, Ω. */
	readonly waterOhm: number;
	/** How far the meter's true K-factor lies above the rig file's, %. */
	readonly meterErrorPct: number;
	readonly sea?: SeaState | undefined;
	/** The boat leans to the tube's side all along, degrees. */
	readonly heelDeg?: number | undefined;
	readonly altitudeM?: number | undefined;
	/** False for the ideal mixed tank: nothing settles and nothing is stirred up. */
	readonly settles?: boolean | undefined;
	/** Of the sensors' noise and the sea's beginning. */
	readonly seed?: number | undefined;
	/** Mistakes of the build. */
	readonly builtWrong?: readonly BuildFault[] | undefined;
}

export interface Truth extends PathTruth {
	readonly pumpOnSeconds: number;
	readonly supplyVoltsMin: number;
	readonly motorCaseMaxC: number;
}

export class RigModel {
	readonly fuel: Fuel;
	readonly path: FuelPath;
	readonly motor: Motor;
	readonly supply: Supply;
	/**
	 * The weather may change these: the sea, and how far the boat leans beside it, degrees; the air's
	 * mean and swing, °C and K; sun or shore power, A.
	 */
	sea: Sea;
	heelDeg = NOUGHT;
	airC = NOUGHT;
	airSwingK = NOUGHT;
	chargerAmps = NOUGHT;
	readonly sensors: Sensors;
	readonly deadMan = new DeadMan();
	/** What a person who proves the rig holds, lifts or shuts; changed by `puts`. */
	readonly hands = new AtHand();
	readonly shown: BoxShown;
	/** Input channels that the rig lacks. */
	readonly notFitted: readonly string[];
	private readonly tanks: readonly Tank[];
	readonly waterOhm: number;
	readonly meterErrorPct: number;
	stopPressed = false;
	buttonPressed = false;
	isolatorClosed = true;
	/** Levels of the pins that the water probe hangs between. */
	probePlus = false;
	probeMinus = false;
	/** An emulated board makes the pins' edges, forged ones too. */
	emulated = false;
	pressureSwitchOpen = false;
	rollRad = NOUGHT;
	rollTan = NOUGHT;
	elapsedS = NOUGHT;
	/** When water last came up to the probe, s; null while it is below. */
	waterAtProbeS: number | null = null;
	readonly rig: Rig;
	private readonly start: WorldStart;
	private readonly ratedVolts: number;
	private readonly ratedPas: number;
	/** Something is broken: spares every step a dozen look-ups. */
	faulty = false;
	/** Channels whose sensor or wire is broken. */
	readonly badWires = new Set<string>();
	private readonly ailments = new Map<Fault, Ailment>();
	/** Not a number before the pump ever ran: one kind of value, for speed. */
	private poweredS = Number.NaN;
	private demand = false;
	private slowS = NOUGHT;
	private slowAmpSeconds = NOUGHT;
	private returnedM3 = NOUGHT;
	private readonly pressureSwitchKpa: number;
	private readonly freeFlowM3s: number;
	/** The locked return fitting has its switch, the first pole of it in K2's loop. */
	private readonly seatOpensK2: boolean;
	private readonly stopOpensK2: boolean;
	/** The tray's sensor answers to diesel. */
	readonly traySees: boolean;

	constructor(rig: Rig, start: WorldStart) {
		this.rig = rig;
		this.start = start;
		this.ratedVolts = rig.pump.ratedVolts;
		this.ratedPas = ratedLiquid(rig).dynamicPas;
		this.pressureSwitchKpa = rig.pump.pressureSwitchKpa ?? Number.POSITIVE_INFINITY;
		this.freeFlowM3s = rig.pump.freeFlowLph / 3.6e6;
		this.notFitted = notFitted(rig.sensors);
		const builtWrong = start.builtWrong ?? [];
		const isRight = (fault: BuildFault) => !builtWrong.includes(fault);
		this.seatOpensK2 = rig.sensors.includes("return-seat") && isRight("return-outside-loop");
		this.stopOpensK2 = isRight("stop-outside-loop");
		this.traySees = isRight("tray-blind");
		this.shown = new BoxShown(builtWrong);
		this.fuel = new Fuel(dieselOf(rig), rig.fuel.famePct, start.fuelC ?? start.airC);
		const tanks = new Map(
			rig.tanks.flatMap((tank) => {
				const holds = start.tanks.get(tank.name);
				return holds === undefined ? [] : [[tank.name, new Tank(tank, holds, this.fuel)]];
			}),
		);
		this.tanks = [...tanks.values()];
		const atmospherePa = pressureAtAltitudePa(start.altitudeM ?? 0);
		this.path = new FuelPath(rig, this.fuel, tanks, atmospherePa);
		this.path.tubeTank = tanks.get(start.tubeTank);
		this.path.returnTank = tanks.get(start.returnTank);
		this.heelDeg = start.heelDeg ?? 0;
		this.airC = start.airC;
		this.airSwingK = start.airSwingK ?? 0;
		this.chargerAmps = start.chargerAmps ?? 0;
		this.motor = new Motor(rig, start.airC);
		this.supply = new Supply(rig, start.batteryVolts);
		const seed = start.seed ?? 0;
		this.sea = new Sea(start.sea ?? CALM, (seed % 97) / 97);
		this.waterOhm = start.waterOhm;
		this.meterErrorPct = start.meterErrorPct;
		this.sensors = new Sensors(this, rig, seed);
		this.sensors.refresh(this.ratedPas, this.fuel.dynamicPas);
	}

	/** The scenario's time begins now: what went before was the board's boot. */
	restartClock(): void {
		this.elapsedS = 0;
		this.poweredS = Number.NaN;
	}

	/** When the pump last ran, s; null before it ever did. */
	get lastPoweredS(): number | null {
		return Number.isNaN(this.poweredS) ? null : this.poweredS;
	}

	has(fault: Fault): boolean {
		return this.faulty === true && this.ailments.has(fault);
	}

	/** Size of a fault in its own unit; 0 while it is not there. */
	sizeOf(fault: Fault): number {
		const found = this.faulty ? this.ailments.get(fault) : undefined;
		return found === undefined ? 0 : sizeAt(fault, found, this.elapsedS);
	}

	/** A fault begins; its size in its row's unit, reached after `overS` seconds. */
	breaks(fault: Fault, size: number = usualSize(fault), overS: number = 0): void {
		this.ailments.set(fault, { size, sinceS: this.elapsedS, overS });
		this.suffer();
		const { path, fuel } = this;
		if (fault === "water-slug") {
			const { pocket } = path.pickUp;
			pocket[FREE] = (pocket[FREE] as number) + size * 1e-6 * WATER_DENSITY_KG_M3;
		}
		if (fault === "cold-snap")
			fuel.celsius = Math.min(fuel.celsius, fuel.diesel.cloudPointC - size);
		if (fault === "return-in-wrong-tank") {
			const other = [...path.tanks.values()].find((tank) => tank !== path.returnTank);
			path.returnTank = other ?? path.returnTank;
		}
	}

	/** A fault is mended. */
	mends(fault: Fault): void {
		this.ailments.delete(fault);
		this.suffer();
		if (fault === "return-in-wrong-tank") {
			this.path.returnTank = this.path.tanks.get(this.start.returnTank);
		}
	}

	/** A person puts something into another place. */
	puts(change: Partial<AtHand>): void {
		Object.assign(this.hands, change);
		this.suffer();
	}

	/** What the present faults, and hands, do to path, motor and supply. */
	private suffer(): void {
		this.faulty = this.ailments.size > 0;
		this.badWires.clear();
		for (const fault of this.ailments.keys()) {
			if (isSensorFault(fault)) this.badWires.add(channelOf(fault));
		}
		const { path, motor, supply, hands } = this;
		const { mishaps } = path;
		mishaps.suctionPaPerM3s = hands.suctionPaPerM3s;
		mishaps.intoCan = hands.intoCan;
		mishaps.tubeLifted = this.has("tube-lifted") || this.has("tube-unseated");
		mishaps.tubeBlocked = this.has("tube-blocked");
		// The size is given at 10 kPa of vacuum.
		mishaps.leakM3sPerPa = this.sizeOf("air-leak") / 3.6e6 / 1e4;
		mishaps.lostShare = this.sizeOf("hose-off") / 100;
		mishaps.returnOut = this.has("return-out");
		mishaps.returnShut = this.has("return-shut") || hands.returnShut;
		mishaps.siphon = this.has("siphon");
		mishaps.wornShare = this.has("pump-worn") ? this.sizeOf("pump-worn") / 100 : 1;
		path.element.plugging = this.has("element-plugs") ? this.sizeOf("element-plugs") : 1;
		path.element.measure();
		motor.seized = this.has("pump-seized");
		motor.uncooledK = this.sizeOf("motor-hot");
		this.deadMan.forging = this.has("beat-forged") && !this.emulated;
		supply.extraOhm = this.sizeOf("battery-weak");
		for (const tank of path.tanks.values()) tank.ventShut = this.has("vent-shut");
		if (this.has("stop-button-struck")) this.stopPressed = true;
	}

	drive(outputs: Outputs): void {
		this.demand = outputs["pump-demand"];
		this.shown.drive(outputs);
		this.deadMan.drive(outputs["dead-man-beat"]);
		this.probePlus = outputs["probe-plus"];
		this.probeMinus = outputs["probe-minus"];
	}

	get k1Closed(): boolean {
		return this.demand === true || this.has("k1-welded");
	}

	/** Stop button, return's and pressure switch are in series with K2's coil: no computer needed. */
	get k2Closed(): boolean {
		const seated = this.seatOpensK2 === false || this.sensors.returnSeated;
		const released = this.stopPressed === false || this.stopOpensK2 === false;
		const slack = this.pressureSwitchOpen === false;
		return (this.deadMan.holds && released && seated && slack) || this.has("k2-welded");
	}

	/** Volts reach the motor. */
	private isFed(): boolean {
		if (this.supply.fuseMelted === true || this.has("motor-wire-off")) return false;
		return this.k1Closed && this.k2Closed && this.isolatorClosed === true;
	}

	step(dtS: number): void {
		this.advance(dtS);
		this.sensors.step(dtS);
	}

	/** The world alone, without what the sensors make of it. */
	advance(dtS: number): void {
		const { path, motor, supply, sea, deadMan } = this;
		deadMan.step(dtS);
		const powered = this.isFed();
		motor.step(dtS, powered, supply.volts, path.headShare, path.pumpAirShare);
		supply.step(dtS, motor.amps);
		this.rollRad = sea.rollRad(this.elapsedS) + this.heelDeg * RAD_PER_DEG;
		const offM = path.tubeTank === undefined ? 0 : OFF_MIDDLE * path.tubeTank.widthM;
		this.rollTan = this.rollRad === 0 ? 0 : Math.tan(this.rollRad);
		path.surfaceM = offM * this.rollTan;
		path.speed = motor.speed;
		path.voltsShare = supply.volts / this.ratedVolts;
		path.step(dtS, powered);
		motor.warm(this.airC);
		this.elapsedS += dtS;
		this.returnedM3 += path.pumpedM3;
		this.slowAmpSeconds += motor.amps * dtS;
		this.slowS += dtS;
		if (this.slowS >= SLOW_S - 1e-9) this.pass();
		this.watch(powered);
	}

	private watch(powered: boolean): void {
		const { path } = this;
		if (powered === true) this.poweredS = this.elapsedS;
		if (path.bowl.waterAtProbe(this.rollTan)) this.waterAtProbeS ??= this.elapsedS;
		else this.waterAtProbeS = null;
		if (path.dischargeKpa > this.pressureSwitchKpa) this.pressureSwitchOpen = true;
		else if (!path.mishaps.returnShut) this.pressureSwitchOpen = false;
	}

	/** A second of everything slow. */
	private pass(): void {
		const { path, fuel, supply, slowS, start } = this;
		const day = Math.sin((2 * Math.PI * this.elapsedS) / DAY_S);
		const airC = this.airC - this.airSwingK * day;
		if (this.faulty) this.suffer();
		if (!this.has("cold-snap")) fuel.celsius += ((airC - fuel.celsius) * slowS) / COOLING_S;
		if (fuel.refresh()) {
			path.refresh();
			this.sensors.refresh(this.ratedPas, fuel.dynamicPas);
		}
		const flowShare = this.returnedM3 / slowS / this.freeFlowM3s;
		const settles = start.settles ?? true;
		for (const tank of this.tanks) {
			tank.pass(slowS, tank === path.returnTank ? flowShare : 0, settles);
			tank.breathe(path.atmospherePa);
		}
		path.element.melt(slowS, path.bowl.mixed);
		path.element.measure();
		const faultVolts = this.has("charger-overvoltage") ? this.sizeOf("charger-overvoltage") : null;
		const chargerA = faultVolts === null ? this.chargerAmps : MAD_CHARGER_A;
		supply.pass(slowS, this.slowAmpSeconds / slowS, chargerA, faultVolts);
		this.slowS = 0;
		this.slowAmpSeconds = 0;
		this.returnedM3 = 0;
	}

	/** A full can of clean fuel stands ready, with a bowl's fill more. */
	fetchCan(): void {
		const { can, bowl } = this.path;
		can[FUEL] = (CAN_M3 + bowl.capacityM3) / (this.fuel.m3PerKg[FUEL] as number);
	}

	/** A can of clean fuel is poured into a tank: mass comes from outside, through the can. */
	pour(tank: string, litres: number): void {
		const into = this.path.tanks.get(tank);
		if (into === undefined) return;
		const kg = (litres * 1e-3) / (this.fuel.m3PerKg[FUEL] as number);
		moveKg(this.path.can, into.bulk, FUEL, kg);
	}

	/** Water from outside sinks to a tank's floor. */
	pourWater(tank: string, litres: number): void {
		const into = this.path.tanks.get(tank);
		if (into === undefined) return;
		into.floor[FREE] =
			(into.floor[FREE] as number) + (litres * 1e-3) / (this.fuel.m3PerKg[FREE] as number);
	}

	/** Dirt from outside, of all sizes: as sludge onto a tank's floor, or afloat in its bulk. */
	addDirt(tank: string, grams: number, where: "floor" | "bulk"): void {
		const store = this.path.tanks.get(tank)?.[where];
		if (store === undefined) return;
		DIRT_SHARES.forEach((share, i) => {
			store[DIRT + i] = (store[DIRT + i] as number) + (share * grams) / 1e3;
		});
	}

	/** A new element: what the old one holds is kept with the drained bowl's. */
	changeElement(): void {
		moveShare(this.path.element.holds, this.path.container, 1);
		this.mends("element-plugs");
	}

	get truth(): Truth {
		return {
			...this.path.truth,
			pumpOnSeconds: this.motor.onSeconds,
			supplyVoltsMin: this.supply.voltsMin,
			motorCaseMaxC: this.motor.caseMaxC,
		};
	}
}
