// What the rig's sensors say of it, each with its range, lag, noise and drift: quantities in the
// units of the trade. The board's wiring makes voltages and counts of them (signals.ts). Noise
// comes from a seeded generator ten times a second, whatever the step. Ranges and errors are those
// of common industrial parts (common practice, no source).

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { Rig } from "../firmware/config/rig.ts";
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
/** Spill in the tray that its sensor sees, L; what stands in the way of a level sensor, share. */
const TRAY_SEES_LITRES = 0.15;
const LEVEL_STEP = 0.005;
/** Water at rest in a bowl freezes below, °C. */
const FREEZES_C = 0;

export class Sensors {
	vacuumKpa = 0;
	supplyVolts: number;
	motorAmps = 0;
	fuelC: number;
	caseC: number;
	/** Pulses that the meter has given since the start; the whole part is the running count. */
	pulses = 0;
	private readonly model: RigModel;
	private readonly rig: Rig;
	private readonly noise: () => number;
	private readonly meter: (typeof METER)[keyof typeof METER];
	private dueS = 0;
	private vacuumNoise = 0;
	private voltsNoise = 0;
	private ampsNoise = 0;
	private laggedKpa = 0;
	private dtS = 0;
	private lagShare = 1;
	private thermistorShare = 1;
	private viscosityFactor = 1;

	constructor(model: RigModel, rig: Rig, seed: number) {
		this.model = model;
		this.rig = rig;
		this.meter = METER[rig.meter.kind];
		this.supplyVolts = model.supply.volts;
		this.fuelC = model.fuel.celsius;
		this.caseC = model.motor.caseC;
		const random = xoroshiro128plus(seed ^ 0x5e_05);
		// Even over ±√3: one of standard deviation.
		this.noise = () => (uniformInt(random, -1_000, 1_000) / 1_000) * Math.sqrt(3);
	}

	/** Resistance between the probe's pins, Ω. */
	get probeOhm(): number {
		const { model } = this;
		if (!model.path.bowl.waterAtProbe(model.rollRad)) return Number.POSITIVE_INFINITY;
		if (model.fuel.celsius < FREEZES_C || model.has("ice-in-bowl")) return Number.POSITIVE_INFINITY;
		return model.has("probe-fouled") ? FILM_OHM : model.waterOhm;
	}

	get trayWet(): boolean {
		if (this.model.has("tray-sensor-dead")) return false;
		return this.model.path.truth.litresSpilled > TRAY_SEES_LITRES;
	}

	get returnSeated(): boolean {
		return !this.model.has("return-out");
	}

	get tubeSeated(): boolean {
		return !this.model.has("tube-lifted");
	}

	/** Level of a tank as a share of its volume, in the sensor's steps. */
	levelShare(tank: string): number {
		const found = this.model.path.tanks.get(tank);
		if (found === undefined) return 0;
		return Math.round(found.volumeM3 / found.capacityM3 / LEVEL_STEP) * LEVEL_STEP;
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
			if (model.faulty && model.has("vacuum-noisy")) {
				this.vacuumNoise += model.sizeOf("vacuum-noisy") * this.noise();
			}
		}
		this.laggedKpa += (model.path.vacuumKpa - this.laggedKpa) * this.lagShare;
		if (!model.has("vacuum-stuck")) {
			const drift = model.sizeOf("vacuum-drifts");
			const kpa = this.laggedKpa + this.vacuumNoise + drift;
			this.vacuumKpa = Math.max(-VACUUM.rangeKpa, Math.min(VACUUM.rangeKpa, kpa));
		}
		this.supplyVolts = model.supply.volts + this.voltsNoise;
		this.motorAmps = model.motor.amps + this.ampsNoise;
		this.fuelC += (model.fuel.celsius - this.fuelC) * this.thermistorShare;
		this.caseC += (model.motor.caseC - this.caseC) * this.thermistorShare;
		this.count(dtS);
	}

	/** The viscosity has changed: a turbine slips more in thick fuel, a displacement meter less. */
	refresh(ratedPas: number, dynamicPas: number): void {
		this.viscosityFactor = 1 + this.meter.perLnViscosity * Math.log(dynamicPas / ratedPas);
	}

	private count(dtS: number): void {
		const { model, meter, rig } = this;
		const { pumpedM3, pumpedAirM3 } = model.path;
		if (model.has("meter-stands-still")) return;
		const litres = (pumpedM3 + meter.airShare * pumpedAirM3) * 1e3;
		if ((litres / dtS) * 60 < meter.cutLpm) return;
		const error = model.meterErrorPct + model.sizeOf("meter-drifts");
		const factor = this.viscosityFactor * (1 + error / 100);
		this.pulses += litres * rig.meter.pulsesPerLitre * factor;
	}
}
