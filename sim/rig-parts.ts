// The rig file's parts as physics takes them: SI units, and the usual figure where a maker's sheet
// leaves one out. What is usual here is common practice without a source, unless it says otherwise.

import type { Rig } from "../firmware/config/rig.ts";
import { type Diesel, grades, liquidAt } from "./physics/diesel.ts";
import { type BetaPoint, betaOfEfficiency, efficiencyAt } from "./physics/filtration.ts";
import { bendK, ENTRANCE_PROJECTING_K, ENTRANCE_SHARP_K, EXIT_K } from "./physics/fittings.ts";
import { type Liquid, type Pipe, TURBULENT_RE } from "./physics/pipe.ts";
import { type PumpCurve, type PumpKindRow, pumpKinds } from "./physics/pump.ts";
import type { TankShape } from "./physics/tank-shape.ts";

type TankFile = Rig["tanks"][number];

const METRES = 1e-3;
const PASCALS = 1e3;
const M3S_OF_LPH = 1 / 3.6e6;

/** The temperature at which a rig's figures are taken to hold, °C. */
export const RATED_C = 15;

/** A mid-range winter fuel where the file names none. */
const USUAL: Diesel = { density15KgM3: 835, viscosityAt40Mm2s: 2.7, cloudPointC: -6 };

export function dieselOf({ fuel }: Rig): Diesel {
	if (fuel.grade !== undefined) return grades[fuel.grade];
	return {
		density15KgM3: fuel.density15KgM3 ?? USUAL.density15KgM3,
		viscosityAt40Mm2s: fuel.viscosity40Mm2s ?? USUAL.viscosityAt40Mm2s,
		cloudPointC: fuel.cloudPointC ?? USUAL.cloudPointC,
	};
}

export const ratedLiquid = (rig: Rig): Liquid => liquidAt(dieselOf(rig), RATED_C);

/** Drawn hose and tube are smooth. Bends: 90°, three bores in radius, Rennels at Re 4000. */
const hosePipe = (hose: Rig["hose"], lossK: number): Pipe => ({
	lengthM: hose.lengthMm * METRES,
	boreM: hose.boreMm * METRES,
	roughnessM: 0,
	lossK: lossK + hose.bends * bendK(90, 3, TURBULENT_RE, 0),
});

export const tubePipe = ({ tube }: Rig): Pipe => ({
	lengthM: tube.lengthMm * METRES,
	boreM: tube.boreMm * METRES,
	roughnessM: 0,
	lossK: ENTRANCE_PROJECTING_K,
});

export const suctionPipe = ({ hose }: Rig): Pipe => hosePipe(hose, EXIT_K);
export const returnPipe = ({ returnHose }: Rig): Pipe =>
	hosePipe(returnHose, ENTRANCE_SHARP_K + EXIT_K);

export const kindOf = ({ pump }: Rig): PumpKindRow => pumpKinds[pump.kind];

export function pumpCurve(rig: Rig): PumpCurve {
	const { pump } = rig;
	const usual = kindOf(rig);
	return {
		freeFlowM3s: pump.freeFlowLph * M3S_OF_LPH,
		deadHeadPa: (pump.deadHeadKpa ?? usual.deadHeadKpa) * PASCALS,
		wetSuctionPa: (pump.wetSuctionKpa ?? usual.wetSuctionKpa) * PASCALS,
		drySuctionPa: (pump.drySuctionKpa ?? usual.drySuctionKpa) * PASCALS,
	};
}

/** Height of the pump's inlet above the tank's floor, m: the tube's own top where not stated. */
export const pumpHeightM = ({ pump, tube }: Rig): number =>
	(pump.heightMm ?? tube.lengthMm + tube.clearanceMm) * METRES;

/** A stalled motor draws about five times its running current. */
export const stallAmps = ({ pump }: Rig): number => pump.stallAmps ?? 5 * pump.runningAmps;

export function tankShape(tank: TankFile): TankShape {
	const volumeM3 = tank.volumeLitres * METRES;
	const depthM = tank.depthMm * METRES;
	const widthM = tankWidthM(tank);
	switch (tank.shape) {
		case "rectangular":
			return { kind: "rectangular", depthM, widthM, lengthM: volumeM3 / depthM / widthM };
		case "wedge":
			// A V without straight walls holds half of what its top and depth span.
			return {
				kind: "wedge",
				depthM,
				topWidthM: widthM,
				lengthM: (2 * volumeM3) / depthM / widthM,
			};
		case "horizontal-cylinder": {
			const lengthM = volumeM3 / ((Math.PI / 4) * depthM ** 2);
			return { kind: "horizontal-cylinder", diameterM: depthM, lengthM };
		}
		case "dip-table": {
			const points = tank.dipTable ?? [];
			const dipM = points.map(({ dipMm }) => dipMm * METRES);
			return { kind: "dip-table", dipM, volumeM3: points.map(({ litres }) => litres * METRES) };
		}
	}
}

/** Athwart the boat, m; a square plan where not stated. */
export function tankWidthM(tank: TankFile): number {
	if (tank.widthMm !== undefined) return tank.widthMm * METRES;
	const half = tank.shape === "wedge" ? 2 : 1;
	return Math.sqrt((half * tank.volumeLitres * METRES) / (tank.depthMm * METRES));
}

/** Fall of the floor towards the pick-up, m; only a flat floor has one of its own. */
export const floorFallM = (tank: TankFile): number =>
	tank.shape === "rectangular" ? tank.floorFallMm * METRES : 0;

/**
 * Filtration ratios: the tested ones, or a line through the stated share at the rated size that
 * falls to an eighth of beta - 1 at half the size (common practice, no source).
 */
export function elementBetas({ element }: Rig): readonly BetaPoint[] {
	if (element.betas !== undefined) return element.betas;
	const { ratingMicron: micron, dirtEfficiency } = element;
	const excess = betaOfEfficiency(dirtEfficiency) - 1;
	return [0.25, 0.5, 1, 2, 4].map((size) => ({
		micron: size * micron,
		beta: 1 + excess * size ** 3,
	}));
}

/** Share of dirt of a size that the element holds back in one pass. */
export const dirtEfficiency = (rig: Rig, micron: number): number =>
	efficiencyAt(elementBetas(rig), micron);
