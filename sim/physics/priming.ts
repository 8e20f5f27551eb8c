// How long a pump takes to draw fuel up an empty line: the air in it grows thinner as the column
// rises, and the pump has to carry that volume off. Imports its neighbours. Source: Boyle's law at
// one temperature, the column's weight and Hagen-Poiseuille; the derivation stands at the function.

import { GRAVITY_MS2 } from "./circuit.ts";
import { type Liquid, laminarPaPerM3s, type Pipe } from "./pipe.ts";

const SLICES = 48;

export interface PrimingLine {
	readonly tube: Pipe;
	readonly hose: Pipe;
	/** Rise of each, m: up from the foot, and on to the pump. */
	readonly tubeRiseM: number;
	readonly hoseRiseM: number;
	readonly liquid: Liquid;
	/** Of the foot under the surface, m. */
	readonly depthM: number;
	readonly atmospherePa: number;
	/** The pump's line on air at its volts, and its greatest vacuum on air, Pa. */
	readonly freeFlowM3s: number;
	readonly deadHeadPa: number;
	readonly drySuctionPa: number;
	/** Of an element between line and pump, taken as wet: as much for air as for fuel, Pa s/m³. */
	readonly elementPaPerM3s: number;
}

/**
 * Seconds until liquid has filled tube and hose, the pump turning from the start; infinity where
 * the column outweighs the pump's suction on air.
 *
 * Let x be the liquid in a line of volume V and p the pressure over it. The gas holds p (V - x),
 * and the pump takes Q p of it a second. So dx/dt = Q + (V - x)/p dp/dt, and with p falling as the
 * column rises, dt = (1 - (V - x)/p dp/dx)/Q dx. Q is the pump's at the vacuum, or what the vacuum
 * that is left drives through the wetted part where that is less. Laminar friction: a line that
 * fills is slow. Adiabatic effects, leaks and air held back in a bowl are left out.
 */
export function primingS(line: PrimingLine): number {
	const allM3 = volumeM3(line.tube) + volumeM3(line.hose);
	const sliceM3 = allM3 / SLICES;
	let seconds = 0;
	let before = stateAt(line, 0);
	for (let slice = 1; slice <= SLICES; slice += 1) {
		const after = stateAt(line, slice * sliceM3);
		if (before.flowM3s <= 0 || after.flowM3s <= 0) return Number.POSITIVE_INFINITY;
		const gasM3 = allM3 - (slice - 0.5) * sliceM3;
		const thinnedM3 = (gasM3 * 2 * (before.pa - after.pa)) / (before.pa + after.pa);
		seconds += ((sliceM3 + thinnedM3) * (1 / before.flowM3s + 1 / after.flowM3s)) / 2;
		before = after;
	}
	return seconds;
}

/** Flow into a line that holds so much liquid, and the pressure of the gas over it. */
function stateAt(line: PrimingLine, liquidM3: number): { flowM3s: number; pa: number } {
	const { tube, hose, liquid, atmospherePa, freeFlowM3s, deadHeadPa } = line;
	const inTube = Math.min(1, liquidM3 / volumeM3(tube));
	const inHose = Math.max(0, (liquidM3 - volumeM3(tube)) / volumeM3(hose));
	const riseM = Math.max(0, line.tubeRiseM * inTube + line.hoseRiseM * inHose);
	const columnPa = liquid.densityKgM3 * GRAVITY_MS2 * (riseM - line.depthM);
	const frictionPaPerM3s =
		inTube * laminarPaPerM3s(tube, liquid) + inHose * laminarPaPerM3s(hose, liquid);
	const leftPa = line.drySuctionPa - columnPa;
	if (leftPa <= 0) return { flowM3s: 0, pa: atmospherePa - line.drySuctionPa };
	const resistance = frictionPaPerM3s + line.elementPaPerM3s;
	// The pump's line, free flow (1 - vacuum/dead head), the resistance being part of the vacuum.
	const pumped = (1 - columnPa / deadHeadPa) / (1 / freeFlowM3s + resistance / deadHeadPa);
	const flowM3s = Math.min(pumped, leftPa / resistance);
	// While liquid stands higher outside than in the line, it drives the air out ahead of the pump.
	const pa = Math.min(atmospherePa, atmospherePa - columnPa - frictionPaPerM3s * flowM3s);
	return { flowM3s, pa };
}

const volumeM3 = ({ boreM, lengthM }: Pipe): number => (Math.PI / 4) * boreM ** 2 * lengthM;
