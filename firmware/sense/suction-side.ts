// Where the vacuum at the pump goes: lift, tube and hose, element. What is left for the element is
// referred to the rig file's figures, at free flow and 15 °C, so that cold and a slow pump are not
// taken for dirt. Pure. Darcy: the element's drop goes with viscosity times flow. Tube and hose:
// Hagen and Poiseuille below Re 2300, Blasius (1913) above; local losses K v²/2 (White, Fluid
// Mechanics, chapter 6).

import type { Rig } from "../config/rig.ts";
import { densityKgM3, dynamicPas, type Fuel, fuelOf, KPA_PER_METRE, RATED_C } from "./fuel.ts";
import type { Quantity } from "./quantity.ts";

const GRAVITY_MS2 = 9.81;
const M3S_PER_LPH = 1 / 3.6e6;
/** Local losses in speed heads: a pipe's two ends, and a bend of 90° (White, from memory). */
const ENDS_K = 1.8;
const BEND_K = 0.4;
const LAMINAR_RE = 2_300;
/** A gauge's zero after commissioning, kPa: one standard deviation (common practice, no source). */
const ZERO_KPA = 0.7;
/** A bore that is off by 2.5 % makes 10 % of loss (Hagen and Poiseuille). */
const PIPE_SD = 0.1;
/** A fuel's 10 % at 40 °C are 14 % at 15 °C (D341); the meter: shares (common practice). */
const VISCOSITY_SD = 0.14;
const FLOW_SD = 0.015;
/** A boat's trim, a sender's zero and a pump that stands a bit higher, m (invented). */
const LIFT_SD_M = 0.035;
/** Without a thermometer the fuel is anywhere near the rated temperature, K (invented). */
const UNKNOWN_SD_K = 7;
/** Steepness of viscosity over temperature near 10 °C, 1/K (D341 for a mid-range diesel). */
const VISCOSITY_PER_K = 0.027;

interface Pipe {
	readonly lengthM: number;
	readonly boreM: number;
	readonly lossK: number;
}

export interface SuctionPlan {
	readonly fuel: Fuel;
	readonly ratedPas: number;
	readonly freeFlowLph: number;
	readonly pumpHeightM: number;
	readonly tube: Pipe;
	readonly hose: Pipe;
}

export function planSuction(rig: Rig): SuctionPlan {
	const { tube, hose, pump } = rig;
	const fuel = fuelOf(rig);
	const pipe = (lengthMm: number, boreMm: number, lossK: number): Pipe => ({
		lengthM: lengthMm / 1000,
		boreM: boreMm / 1000,
		lossK,
	});
	return {
		fuel,
		ratedPas: dynamicPas(fuel, RATED_C),
		freeFlowLph: pump.freeFlowLph,
		pumpHeightM: (pump.heightMm ?? tube.lengthMm + tube.clearanceMm) / 1000,
		tube: pipe(tube.lengthMm, tube.boreMm, ENDS_K / 2),
		hose: pipe(hose.lengthMm, hose.boreMm, ENDS_K / 2 + hose.bends * BEND_K),
	};
}

/** What was measured over some seconds of settled pumping. */
export interface SuctionReading {
	/** At the pump's inlet, and between bowl and element where a tap is fitted, kPa. */
	readonly vacuumKpa: number;
	readonly bowlTapKpa: Quantity;
	readonly flowLph: number;
	readonly fuelC: Quantity;
	/** Height of the fuel over the tank's floor, m; null where no sender tells. */
	readonly dipM: number | null;
	/** The tank's depth, m. */
	readonly depthM: number;
}

export interface ElementDrop {
	/** Drop over the element as it is now, kPa. */
	readonly nowKpa: number;
	/** The same at free flow and rated viscosity: what the rig file's figures are in, kPa. */
	readonly referredKpa: number;
	/** What may lie off it for hours on end: zero, lift, viscosity; one standard deviation, kPa. */
	readonly sdKpa: number;
	/** What lift and a clean pipe take, kPa. */
	readonly pipeKpa: number;
	/** Referred to now: drop now is the referred one times this. */
	readonly perReferred: number;
}

/** Loss of one pipe, Pa. */
export function lossPa(pipe: Pipe, flowM3s: number, densityKgM3: number, pas: number): number {
	const { lengthM, boreM, lossK } = pipe;
	const speed = (4 * flowM3s) / (Math.PI * boreM * boreM);
	if (speed <= 0) return 0;
	const re = (speed * boreM * densityKgM3) / pas;
	const laminar = 64 / re;
	const factor = re < LAMINAR_RE ? laminar : Math.max(laminar, 0.3164 / re ** 0.25);
	return ((factor * lengthM) / boreM + lossK) * 0.5 * densityKgM3 * speed * speed;
}

/** What the suction side takes without its element at a flow, kPa. */
export function pipeKpaOf(plan: SuctionPlan, flowLph: number, liftM: number, atC: number): number {
	const density = densityKgM3(plan.fuel, atC);
	const pas = dynamicPas(plan.fuel, atC);
	const flow = flowLph * M3S_PER_LPH;
	const loss = lossPa(plan.tube, flow, density, pas) + lossPa(plan.hose, flow, density, pas);
	return (loss + density * GRAVITY_MS2 * liftM) / 1000;
}

/** @returns null where too little flows to say anything */
export function elementDrop(plan: SuctionPlan, reading: SuctionReading): ElementDrop | null {
	const { vacuumKpa, bowlTapKpa, flowLph, fuelC, dipM, depthM } = reading;
	if (flowLph < 0.2 * plan.freeFlowLph) return null;
	const isWarmthKnown = typeof fuelC === "number";
	const atC = isWarmthKnown ? fuelC : RATED_C;
	const liftM = plan.pumpHeightM - (dipM ?? depthM / 2);
	const pipeKpa = pipeKpaOf(plan, flowLph, liftM, atC);
	const hasTap = typeof bowlTapKpa === "number";
	const nowKpa = vacuumKpa - (hasTap ? bowlTapKpa : pipeKpa);
	const share = (dynamicPas(plan.fuel, atC) / plan.ratedPas) * (flowLph / plan.freeFlowLph);
	const unknownSd = isWarmthKnown ? 0 : VISCOSITY_PER_K * UNKNOWN_SD_K;
	const viscositySd = Math.hypot(VISCOSITY_SD, unknownSd);
	// Even over the depth where nobody knows the dip.
	const liftSdM = dipM === null ? depthM / Math.sqrt(12) : LIFT_SD_M;
	const liftSd = KPA_PER_METRE * liftSdM;
	const lossKpa = Math.max(0, pipeKpa - KPA_PER_METRE * liftM);
	const pipeSd = PIPE_SD * lossKpa;
	const ofGauge = hasTap ? ZERO_KPA * Math.SQRT2 : Math.hypot(ZERO_KPA, liftSd, pipeSd);
	// Thicker fuel than the file's is taken for element in pipe and element alike.
	const byViscosity = Math.max(0, nowKpa) + (hasTap ? 0 : lossKpa);
	const ofScale = Math.hypot(viscositySd * byViscosity, FLOW_SD * nowKpa);
	return {
		nowKpa,
		referredKpa: nowKpa / share,
		sdKpa: Math.hypot(ofGauge, ofScale) / share,
		pipeKpa,
		perReferred: share,
	};
}
