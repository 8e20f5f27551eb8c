// All figures of one tank at one temperature for one sample of the inputs. Pure. Imports sim's
// physics and parts; each formula's source stands in the file that it is called from.

import type { Rig } from "../../firmware/config/rig.ts";
import { batteryKinds } from "../../sim/battery-kinds.ts";
import { chargeAh, effectiveAmps, turnoverHours } from "../../sim/physics/battery.ts";
import { liquidAt } from "../../sim/physics/diesel.ts";
import { turnoversRequired } from "../../sim/physics/dilution.ts";
import { type Liquid, reynolds, speedMps } from "../../sim/physics/pipe.ts";
import { primingS } from "../../sim/physics/priming.ts";
import { deadHeadShare, freeFlowShare, slipShare } from "../../sim/physics/pump.ts";
import {
	cutDiameterM,
	overflowMps,
	settlingTimeS,
	terminalMps,
} from "../../sim/physics/settling.ts";
import {
	type SteadyConditions,
	SteadyLine,
	type SteadyPoint,
} from "../../sim/physics/steady-point.ts";
import { dipAtVolumeM } from "../../sim/physics/tank-shape.ts";
import { tankShape } from "../../sim/rig-parts.ts";
import { WATER_DENSITY_KG_M3 } from "../../sim/species.ts";
import type { Sample } from "./draws.ts";
import type { Figures } from "./figures.ts";
import type { RigInSi } from "./rig-in-si.ts";
import { type Margin, suctionMargin } from "./suction-margin.ts";

type TankFile = Rig["tanks"][number];

const LPH = 3.6e6;
/** The mixing factor's bounds (common practice, no source). */
const MIXING = [0.3, 1] as const;
/** Hours by which a rest still fits exactly: rounding must not add one. */
const ROUNDING_H = 1e-9;

export interface Worked {
	readonly figures: Figures;
	/** The points behind them, and the margins with the limits that set them. */
	readonly clean: SteadyPoint;
	readonly change: SteadyPoint;
	readonly margins: { readonly clean: Margin; readonly change: Margin; readonly low: Margin };
}

/** One tank of a rig; keeps what does not change from sample to sample. */
export class TankCase {
	readonly si: RigInSi;
	readonly tank: TankFile;
	readonly celsius: number;
	readonly litres: number;
	/** Height of the fuel above the lowest point, m. */
	readonly dipM: number;
	private readonly line: SteadyLine;
	private readonly liquid: Liquid;

	constructor(si: RigInSi, tank: TankFile, celsius: number) {
		this.si = si;
		this.tank = tank;
		this.celsius = celsius;
		this.litres = (tank.volumeLitres * si.rig.sizing.fillPct) / 100;
		this.dipM = dipAtVolumeM(tankShape(tank), this.litres / 1e3);
		this.line = new SteadyLine(si.steady);
		this.liquid = liquidAt(si.diesel, celsius);
	}

	/** The fuel at this case's temperature with a sample's viscosity. */
	liquidOf({ viscosity }: Sample): Liquid {
		return { ...this.liquid, dynamicPas: this.liquid.dynamicPas * viscosity };
	}

	/** @param element of which resistance; `dirty` at change-out */
	conditions(sample: Sample, element: "clean" | "dirty"): SteadyConditions {
		const { si, dipM } = this;
		const liquid = this.liquidOf(sample);
		// At change-out the restriction is what the owner reads, whatever the clean one was.
		const perFlow =
			element === "clean" ? si.cleanPaPerM3s * sample.cleanRestriction : si.changePaPerM3s;
		return {
			liquid,
			depthM: dipM - si.clearanceM - sample.liftM,
			freeFlowM3s: si.curve.freeFlowM3s * sample.freeFlow,
			deadHeadPa: si.curve.deadHeadPa * sample.deadHead,
			elementPaPerM3s: (perFlow * liquid.dynamicPas) / si.steady.ratedPas,
		};
	}

	demandPa(conditions: SteadyConditions, flowM3s: number): { vacuum: number; rise: number } {
		return this.line.demandPa(conditions, flowM3s);
	}

	workOut(sample: Sample): Worked {
		const { si, line } = this;
		const cleanly = this.conditions(sample, "clean");
		const dirty = this.conditions(sample, "dirty");
		const clean = line.solve(cleanly);
		const change = line.solve(dirty);
		const low = line.solve({ ...dirty, depthM: -sample.liftM });
		const margins = {
			clean: suctionMargin(si, clean),
			change: suctionMargin(si, change),
			low: suctionMargin(si, low),
		};
		const figures = {
			flowCleanLph: clean.flowM3s * LPH,
			flowChangeLph: change.flowM3s * LPH,
			...this.pipeFigures(clean, cleanly.liquid),
			vacuumCleanKpa: clean.vacuumPa / 1e3,
			vacuumChangeKpa: change.vacuumPa / 1e3,
			marginCleanKpa: margins.clean.kpa,
			marginChangeKpa: margins.change.kpa,
			marginLowKpa: margins.low.kpa,
			primingSeconds: this.primingSeconds(cleanly, clean),
			...this.dilution(clean.flowM3s * LPH, sample),
			...this.settling(clean.flowM3s, cleanly.liquid),
			...this.elementLife(sample),
			...this.charge(clean.amps, sample),
		};
		return { figures, clean, change, margins };
	}

	private pipeFigures({ flowM3s }: SteadyPoint, liquid: Liquid) {
		const { tube, hose } = this.si.steady;
		const kinematic = liquid.dynamicPas / liquid.densityKgM3;
		const tubeSpeedMps = speedMps(tube.boreM, flowM3s);
		const hoseSpeedMps = speedMps(hose.boreM, flowM3s);
		return {
			tubeSpeedMps,
			tubeReynolds: reynolds(tubeSpeedMps, tube.boreM, kinematic),
			hoseSpeedMps,
			hoseReynolds: reynolds(hoseSpeedMps, hose.boreM, kinematic),
		};
	}

	/** At the volts of steady running: on air the motor draws a little less. */
	private primingSeconds(conditions: SteadyConditions, { voltsShare }: SteadyPoint): number {
		const { si } = this;
		const { kind, tube, hose, atmospherePa, ratedPas } = si.steady;
		const { liquid, depthM, freeFlowM3s, deadHeadPa, elementPaPerM3s } = conditions;
		return primingS({
			tube,
			hose,
			tubeRiseM: si.tubeRiseM,
			hoseRiseM: si.hoseRiseM,
			liquid,
			depthM,
			atmospherePa,
			freeFlowM3s: freeFlowM3s * freeFlowShare(kind, voltsShare),
			deadHeadPa:
				deadHeadPa *
				deadHeadShare(kind, voltsShare) *
				slipShare(kind, liquid.dynamicPas / ratedPas),
			drySuctionPa: si.curve.drySuctionPa,
			elementPaPerM3s,
		});
	}

	/** At the clean element's flow; the mixing factor stands for what the pump does not reach. */
	private dilution(flowLph: number, sample: Sample) {
		const { si, litres } = this;
		const { element, sizing } = si.rig;
		const factor = sizing.mixingFactor * sample.mixingFactor;
		const mixing = Math.min(MIXING[1], Math.max(MIXING[0], factor));
		const per = element.dirtEfficiency * mixing;
		const turnoversTo5Pct = turnoversRequired(0.05, per);
		const turnoversTo1Pct = turnoversRequired(0.01, per);
		const hoursTo1Pct = turnoverHours(turnoversTo1Pct, litres, flowLph);
		return {
			turnoverHours: turnoverHours(1, litres, flowLph),
			turnoversTo5Pct,
			hoursTo5Pct: turnoverHours(turnoversTo5Pct, litres, flowLph),
			turnoversTo1Pct,
			hoursTo1Pct,
			clockHoursTo1Pct: this.clockHours(hoursTo1Pct),
		};
	}

	/** Pump hours with the rests that its duty puts between them. */
	private clockHours(pumpHours: number): number {
		const { runMinutesMax, restMinutes } = this.si.rig.pump;
		const runs = Math.ceil((pumpHours * 60) / runMinutesMax - ROUNDING_H);
		return pumpHours + (Math.max(0, runs - 1) * restMinutes) / 60;
	}

	/**
	 * Time for the stated drops to fall through all of the fuel, and 0 where the bowl catches them by
	 * itself. The bowl's spin is left out: it helps by nobody knows how much.
	 */
	private settling(flowM3s: number, liquid: Liquid) {
		const { si, dipM } = this;
		const upMps = overflowMps(flowM3s, si.bowlAreaM2);
		const dropM = si.rig.sizing.settleDropMicron / 1e6;
		const cutM = cutDiameterM(upMps, WATER_DENSITY_KG_M3, liquid);
		const fallMps = terminalMps(dropM, WATER_DENSITY_KG_M3, liquid);
		const settleS = cutM > dropM ? settlingTimeS(dipM, fallMps) : 0;
		return { bowlCutMicron: cutM * 1e6, settleHours: settleS / 3600 };
	}

	/** Litres while the fuel stays as dirty as stated; elements for all of the tank's dirt. */
	private elementLife(sample: Sample) {
		const { element, sizing } = this.si.rig;
		const capacityMg = element.dirtToChangeGrams * sample.dirtCapacity * 1e3;
		const loadMgPerLitre = sizing.dirtMgPerLitre * sample.dirtLoad;
		return {
			elementLitres: capacityMg / (loadMgPerLitre * element.dirtEfficiency),
			elementsForTank: (loadMgPerLitre * this.litres) / capacityMg,
		};
	}

	private charge(amps: number, sample: Sample) {
		const { rig, dutyShare } = this.si;
		const { supply, sizing } = rig;
		const hours = sizing.sessionHours * dutyShare;
		const { exponent } = batteryKinds[supply.chemistry];
		const capacityAh = supply.batteryAh * sample.battery;
		const used = effectiveAmps({ capacityAh, ratedHours: 20, exponent }, amps) * hours;
		return {
			amps,
			sessionAh: chargeAh(amps, hours),
			batteryPct: (100 * used) / capacityAh,
		};
	}
}
