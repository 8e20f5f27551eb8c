// Random rigs, tanks and seas for the scores of dry run, each from one seed: what pump and meter
// there are, how low the tank is, how the boat rolls, and what takes the fuel from the pump. All
// figures are drawn evenly between plain bounds (invented) and belong to no rig there is.

import { join } from "node:path";
import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { parse } from "yaml";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { projectRoot } from "../../host/cli/root.ts";
import type { RigModel, WorldStart } from "../../sim/rig.ts";
import { Sea } from "../../sim/sea.ts";
import { moveShare } from "../../sim/species.ts";

/** What happens to a pump that has fuel. */
export const causes = ["tube lifted", "tank emptied", "tube half out", "air leak"] as const;
export type Cause = (typeof causes)[number];

export interface Story {
	readonly rig: Rig;
	readonly world: WorldStart;
	/** Share of the time that the pick-up is to be out of the fuel by the sea alone. */
	readonly uncoveredShare: number;
	/** When it begins, s; what follows goes on from there. */
	readonly happens: (model: RigModel, sinceS: number) => void;
}

/** A rig's base: what no draw changes. */
const BASE = parse(readInputFile(join(projectRoot, "sim/bench/rigs/teal-willow.rig.yaml")));
const KINDS = ["diaphragm", "vane", "gear", "solenoid-pulse"] as const;
/** The tube stands this share of the tank's width off its middle, as in the rig model. */
const OFF_MIDDLE = 0.4;
const ROLLING = { rollDeg: 15, periodS: 6 } as const;
const CLEARANCE_M = 0.004;

interface Draw {
	readonly between: (low: number, high: number) => number;
	readonly oneOf: <T>(list: readonly T[]) => T;
}

export function drawFrom(seed: number): Draw {
	const random = xoroshiro128plus(seed);
	const share = () => uniformInt(random, 0, 1_000_000) / 1_000_000;
	// The first numbers of near seeds are alike.
	for (let i = 0; i < 8; i += 1) share();
	return {
		between: (low, high) => low + (high - low) * share(),
		oneOf: (list) => {
			const found = list[Math.min(list.length - 1, Math.floor(share() * list.length))];
			if (found === undefined) throw new Error("an empty list");
			return found;
		},
	};
}

/** A rolling boat and a low tank, whose pick-up the sea uncovers for that share of the time. */
export function rollingStory(seed: number, uncoveredShare: number): Story {
	const draw = drawFrom(seed);
	const widthM = draw.between(0.52, 1.5);
	const sea = new Sea(ROLLING, (seed % 97) / 97);
	const swings: number[] = [];
	// Nine rolls are a group, after which this sea begins anew.
	for (let atS = 0; atS < 9 * ROLLING.periodS; atS += 0.1) {
		swings.push(OFF_MIDDLE * widthM * Math.tan(sea.rollRad(atS)));
	}
	swings.sort((a, b) => a - b);
	const lowestM = swings[Math.floor(uncoveredShare * (swings.length - 1))] ?? 0;
	const dipM = Math.max(0.02, CLEARANCE_M - lowestM);
	// The tank is down to 15 % and more of its depth.
	const depthM = Math.max(0.1, dipM / draw.between(0.15, 0.35));
	const { rig, world } = rigOf(draw, seed, { widthM, depthM, dipM, senders: true });
	return { rig, world: { ...world, sea: ROLLING }, uncoveredShare, happens: () => {} };
}

/** A tank with fuel, hardly a sea, and then no fuel for the pump. */
export function dryStory(seed: number, cause: Cause): Story {
	const draw = drawFrom(seed);
	const depthM = draw.between(0.3, 0.9);
	const widthM = draw.between(0.4, 1.2);
	const low = cause === "tank emptied" || cause === "tube half out";
	const dipM = low ? CLEARANCE_M + draw.between(0.02, 0.06) : depthM * draw.between(0.15, 0.8);
	const { rig, world } = rigOf(draw, seed, { widthM, depthM, dipM, senders: false });
	const happens = happening(cause, draw, dipM - CLEARANCE_M);
	const sea = { rollDeg: low ? draw.between(0, 0.5) : draw.between(0, 5), periodS: 6 };
	return { rig, world: { ...world, sea }, uncoveredShare: 0, happens };
}

function happening(cause: Cause, draw: Draw, marginM: number): Story["happens"] {
	if (cause === "tube lifted") return (model) => once(model, "tube-lifted");
	// Enough of it that no fuel is left to the pump.
	const leakLph = draw.between(250, 400);
	if (cause === "air leak") return (model) => once(model, "air-leak", leakLph);
	// The tube has slid up until its end is hardly in the fuel; or somebody else draws the tank down.
	const downM = cause === "tube half out" ? marginM + draw.between(0.0025, 0.005) : marginM + 0.02;
	const mmPerS = cause === "tube half out" ? 1e3 : 10 ** draw.between(-1, 0.5);
	return (model, sinceS) => lower(model, Math.min(downM, sinceS * mmPerS * 1e-3), downM);
}

function once(model: RigModel, fault: "tube-lifted" | "air-leak", size?: number): void {
	if (!model.has(fault)) model.breaks(fault, size);
}

const loweredM = new WeakMap<RigModel, number>();

/** Takes fuel out of the tank until its level has sunk by so much in all. */
function lower(model: RigModel, toM: number, allM: number): void {
	const tank = model.path.tubeTank;
	const before = loweredM.get(model) ?? 0;
	if (tank === undefined || toM <= before || before >= allM) return;
	moveShare(tank.bulk, model.path.container, Math.min(1, (toM - before) / tank.dipM));
	loweredM.set(model, toM);
}

interface TankSize {
	readonly widthM: number;
	readonly depthM: number;
	readonly dipM: number;
	/** Without senders nothing but the pump's own way tells of a tank that is low. */
	readonly senders: boolean;
}

function rigOf(draw: Draw, seed: number, { widthM, depthM, dipM, senders }: TankSize) {
	const kind = draw.oneOf(KINDS);
	const isPulse = kind === "solenoid-pulse";
	const boreMm = isPulse ? 8 : draw.oneOf([8, 10, 12]);
	const meter = draw.oneOf(["positive-displacement", "turbine"] as const);
	// A turbine stands at less than half a litre a minute: nobody fits one to a slow pump.
	const leastLph = meter === "turbine" ? 100 : isPulse ? 50 : 60;
	const mostLph = boreMm === 8 ? 120 : boreMm === 10 ? 160 : 220;
	const freeFlowLph = draw.between(leastLph, mostLph);
	const areaM2 = widthM * draw.between(0.4, 1);
	const lengthMm = Math.round(Math.max(300, draw.between(0.6, 1.2) * 1000));
	const depthMm = Math.round(depthM * 1000);
	const hasVacuum = draw.between(0, 1) < 0.75;
	const { deadHeadKpa: _d, wetSuctionKpa: _w, drySuctionKpa: _s, ...pump } = BASE.pump;
	const tank = {
		name: "port",
		volumeLitres: Math.round(areaM2 * depthM * 1e4) / 10,
		depthMm,
		fillerMm: Math.max(0, lengthMm - depthMm) + 50,
		widthMm: Math.round(widthM * 1000),
		floorFallMm: 0,
	};
	const text = {
		...BASE,
		tanks: [tank],
		tube: { lengthMm, boreMm, clearanceMm: CLEARANCE_M * 1000 },
		hose: { lengthMm: Math.round(draw.between(800, 3_500)), boreMm, bends: 2 },
		pump: {
			...pump,
			kind,
			freeFlowLph: Math.round(freeFlowLph),
			runMinutesMax: 235,
			restMinutes: 1,
			bypassKpa: 130,
		},
		meter: { kind: meter, pulsesPerLitre: Math.round(draw.between(380, 1_200)) },
		sensors: BASE.sensors.filter((name: string) => {
			if (name === "vacuum") return hasVacuum;
			return senders || !name.startsWith("level");
		}),
		// A turbine turns on air: only more than that proves fuel.
		setpoints: { primedFlowLph: Math.round((meter === "turbine" ? 0.6 : 0.4) * freeFlowLph) },
	};
	const rig = readRig(JSON.stringify(text), `draw ${seed}`);
	const fuelLitres = (tank.volumeLitres * dipM * 1000) / depthMm;
	const holds = { fuelLitres, freeWaterLitres: 0, dispersedWaterPpm: 60, dirtGrams: 0 };
	const world: WorldStart = {
		tanks: new Map([["port", holds]]),
		tubeTank: "port",
		returnTank: "port",
		airC: draw.between(5, 30),
		batteryVolts: 12.7,
		chargerAmps: 10,
		waterOhm: 20_000,
		meterErrorPct: draw.between(-2, 2),
		seed,
	};
	return { rig, world };
}
