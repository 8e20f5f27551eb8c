// What the rig's sensors say of it, each with its range, lag, noise and drift: quantities in the
// units of the trade. The board's wiring makes voltages and counts of them (signals.ts). Noise
// comes from a seeded generator ten times a second, whatever the step. Ranges and errors are those
// of common industrial parts (common practice, no source).

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { Rig } from "../firmware/config/rig.ts";
import { FINGER_M, probeOutOhm } from "./at-hand.ts";
import { NOUGHT, ONE } from "./physics/fraction.ts";
import type { RigModel } from "./rig.ts";

const NOISE_EVERY_S = 0.1;
const VACUUM = { rangeKpa: 100, noiseKpa: 0.15, lagS: 0.05 };
const SUPPLY = { noiseVolts: 0.01, noiseAmps: 0.008 };
/** Thermistors in a pocket and on the case. */
const THERMISTOR = { lagS: 40, noiseC: 0.05 };
/** Share of air that turns the meter, flow below which it stands, what viscosity does. */
const METER = {
	"positive-displacement": { airShare: 0.05, cutLpm: 0.02, perLnViscosity: 0.002 },
	turbine: { airShare: 0.4, cutLpm: 0.5, perLnViscosity: -0.06 },
} as const;
/** A film or an emulsion between the pins leaves so much, Ω: more than any threshold. */
const FILM_OHM = 2e6;
/** Spill in the tray that its sensor sees, L. */
const TRAY_SEES_LITRES = 0.15;
/** A damped sender in steps of its resistor: the boat's roll is averaged away, not all of it. */
const LEVEL = { lagS: 20, step: 0.005 };
/** Water at rest in a bowl freezes below, °C. */
const FREEZES_C = 0;

/** What a sender follows in the time of one noise, share. */
const LEVEL_SHARE = -Math.expm1(-NOISE_EVERY_S / LEVEL.lagS);

export class Sensors {
	/** Vacuum at the pump's inlet, and between bowl and element. */
	vacuumKpa = NOUGHT;
	bowlKpa = NOUGHT;
	supplyVolts: number;
	motorAmps = NOUGHT;
	fuelC: number;
	caseC: number;
	/** Pulses that the meter has given since the start; the whole part is the running count. */
	pulses = NOUGHT;
	private readonly model: RigModel;
	private readonly rig: Rig;
	private readonly noise: () => number;
	private readonly meter: (typeof METER)[keyof typeof METER];
	private dueS = NOUGHT;
	private vacuumNoise = NOUGHT;
	private voltsNoise = NOUGHT;
	private ampsNoise = NOUGHT;
	private laggedKpa = NOUGHT;
	private laggedBowlKpa = NOUGHT;
	private readonly hasTap: boolean;
	/** Depth under tube and return as the senders' floats follow it, share. */
	private depthFrom: number;
	private depthTo: number;
	private dtS = NOUGHT;
	private lagShare = ONE;
	private thermistorShare = ONE;
	private viscosityFactor = ONE;

	constructor(model: RigModel, rig: Rig, seed: number) {
		this.model = model;
		this.rig = rig;
		this.meter = METER[rig.meter.kind];
		this.supplyVolts = model.supply.volts;
		this.fuelC = model.fuel.celsius;
		this.caseC = model.motor.caseC;
		const { tubeTank, returnTank } = model.path;
		this.depthFrom = tubeTank === undefined ? 0 : tubeTank.dipM / tubeTank.depthM;
		this.depthTo = returnTank === undefined ? 0 : returnTank.dipM / returnTank.depthM;
		this.hasTap = rig.sensors.includes("bowl-tap");
		const random = xoroshiro128plus(seed ^ 0x5e_05);
		// Even over ±√3: one of standard deviation.
		this.noise = () => (uniformInt(random, -1_000, 1_000) / 1_000) * Math.sqrt(3);
	}

	/** Resistance between the probe's pins, Ω. */
	get probeOhm(): number {
		const { model } = this;
		const { probeIn } = model.hands;
		if (probeIn !== "bowl")
			return probeOutOhm(probeIn) + (model.has("probe-fouled") ? FILM_OHM : 0);
		if (!model.path.bowl.waterAtProbe(model.rollTan)) return Number.POSITIVE_INFINITY;
		if (model.fuel.celsius < FREEZES_C || model.has("ice-in-bowl")) return Number.POSITIVE_INFINITY;
		return model.has("probe-fouled") ? FILM_OHM : model.waterOhm;
	}

	/** Fuel in the tray lifts its float; what runs into the bilge does not. */
	get trayWet(): boolean {
		const { model } = this;
		const isIn = model.path.trayLitres > TRAY_SEES_LITRES || model.hands.trayInCup === true;
		return isIn && model.traySees;
	}

	get returnSeated(): boolean {
		return this.model.hands.returnLifted === false && !this.model.has("return-out");
	}

	get tubeSeated(): boolean {
		return this.model.hands.tubeLifted === false && !this.model.has("tube-unseated");
	}

	/** Depth of the fuel under the tube as a share of the tank's, in the sender's steps. */
	get levelFrom(): number {
		return inSteps(this.depthFrom);
	}

	/** The same under the return. */
	get levelTo(): number {
		return inSteps(this.depthTo);
	}

	step(dtS: number): void {
		const { model } = this;
		if (dtS !== this.dtS) {
			this.dtS = dtS;
			this.lagShare = -Math.expm1(-dtS / VACUUM.lagS);
			this.thermistorShare = -Math.expm1(-dtS / THERMISTOR.lagS);
		}
		this.dueS -= dtS;
		if (this.dueS <= 1e-9) {
			this.dueS += NOISE_EVERY_S;
			this.vacuumNoise = VACUUM.noiseKpa * this.noise();
			this.voltsNoise = SUPPLY.noiseVolts * this.noise();
			this.ampsNoise = SUPPLY.noiseAmps * this.noise();
			this.followLevels();
		}
		const { path, supply } = model;
		// Vent open, valve shut and pump off: the air's own pressure all along.
		const isVented = model.hands.ventOpen;
		this.laggedKpa += ((isVented ? 0 : path.vacuumKpa) - this.laggedKpa) * this.lagShare;
		this.vacuumKpa = inRange(this.laggedKpa + this.vacuumNoise);
		if (this.hasTap) {
			const bowlKpa = isVented ? 0 : path.bowlVacuumKpa;
			this.laggedBowlKpa += (bowlKpa - this.laggedBowlKpa) * this.lagShare;
			this.bowlKpa = inRange(this.laggedBowlKpa - this.vacuumNoise);
		}
		// The monitor sits behind fuse and isolator; the computer feeds it.
		const fed = model.isolatorClosed && !supply.fuseMelted;
		this.supplyVolts = (fed ? supply.volts : 0) + this.voltsNoise;
		this.motorAmps = model.motor.amps + this.ampsNoise;
		this.fuelC += (model.fuel.celsius - this.fuelC) * this.thermistorShare;
		const caseC = model.hands.sensorsTogether ? model.fuel.celsius : model.motor.caseC;
		this.caseC += (caseC - this.caseC) * this.thermistorShare;
		this.count(dtS);
	}

	/** The viscosity has changed: a turbine slips more in thick fuel, a displacement meter less. */
	refresh(ratedPas: number, dynamicPas: number): void {
		this.viscosityFactor = 1 + this.meter.perLnViscosity * Math.log(dynamicPas / ratedPas);
	}

	/** Senders hang in the heads of tube and return: out of the filler they read empty. */
	private followLevels(): void {
		const { path } = this.model;
		const { tubeTank, returnTank, pickUp } = path;
		// The surface over the tube goes up and down with the boat's roll; the sender beside it does
		// not go with a tube that has slid up in its head.
		const { hands } = this.model;
		const isUp = this.model.has("tube-lifted");
		const overTubeM = isUp ? (tubeTank?.dipM ?? 0) : pickUp.depthM + pickUp.clearanceM;
		const isOff = tubeTank === undefined || this.model.has("tube-unseated");
		const from = isOff ? 0 : (overTubeM - (hands.tubeLifted ? FINGER_M : 0)) / tubeTank.depthM;
		const isSame = returnTank === tubeTank && returnTank !== undefined;
		const dipM = isSame ? returnTank.dipThen : (returnTank?.dipM ?? 0);
		const isOut = returnTank === undefined || this.model.has("return-out");
		const to = isOut ? 0 : (dipM - (hands.returnLifted ? FINGER_M : 0)) / returnTank.depthM;
		this.depthFrom += (from - this.depthFrom) * LEVEL_SHARE;
		this.depthTo += (to - this.depthTo) * LEVEL_SHARE;
	}

	private count(dtS: number): void {
		const { model, meter, rig } = this;
		const { pumpedM3, pumpedAirM3 } = model.path;
		const litres = (pumpedM3 + meter.airShare * pumpedAirM3) * 1e3;
		if ((litres / dtS) * 60 < meter.cutLpm) return;
		const factor = this.viscosityFactor * (1 + model.meterErrorPct / 100);
		this.pulses += litres * rig.meter.pulsesPerLitre * factor;
	}
}

const inSteps = (share: number): number =>
	Math.round(Math.min(1, Math.max(0, share)) / LEVEL.step) * LEVEL.step;

const inRange = (kpa: number): number => Math.max(-VACUUM.rangeKpa, Math.min(VACUUM.rangeKpa, kpa));
