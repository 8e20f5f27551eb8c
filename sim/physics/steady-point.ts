// The point at which a suction line, an element, a pump and its battery come to rest with each
// other: the rig model's own circuit without gas and after any change has died away. Imports its
// neighbours. Source: Bernoulli and Ohm; air release is common practice, no source.

import { Circuit, GRAVITY_MS2 } from "./circuit.ts";
import type { Liquid, Pipe } from "./pipe.ts";
import { currentShare, deadHeadShare, freeFlowShare, type PumpKindRow, slipShare } from "./pump.ts";

/** Vacuum at which dissolved air begins to come out of diesel, Pa (common practice). */
export const AIR_RELEASE_PA = 30e3;
/** Air over liquid by volume that each Pa beyond it brings (invented). */
export const AIR_PER_PA = 4e-6;
const TURNS_MAX = 60;

/** What stays as it is while fuel, element and pump are varied. */
export interface SteadyParts {
	readonly tube: Pipe;
	readonly hose: Pipe;
	readonly returns: Pipe;
	/** From the foot of the tube up to the pump's inlet, m. */
	readonly riseM: number;
	readonly kind: PumpKindRow;
	/** Greatest vacuum that the pump makes in liquid, Pa below the atmosphere. */
	readonly wetSuctionPa: number;
	readonly atmospherePa: number;
	/** Viscosity that the pump's dead head was rated in, Pa s. */
	readonly ratedPas: number;
	readonly ratedVolts: number;
	readonly runningAmps: number;
	/** Battery's rest voltage, and all resistance between it and the motor, Ω. */
	readonly restVolts: number;
	readonly supplyOhm: number;
}

export interface SteadyConditions {
	readonly liquid: Liquid;
	/** Of the foot of the tube under the surface, m; less than 0 counts as lift. */
	readonly depthM: number;
	/** The pump's, at rated volts and viscosity. */
	readonly freeFlowM3s: number;
	readonly deadHeadPa: number;
	/** Drop per flow in this liquid, Pa s/m³. */
	readonly elementPaPerM3s: number;
}

export interface SteadyPoint {
	readonly flowM3s: number;
	/** At the pump's inlet, and at the hose's end in the bowl, Pa below the atmosphere. */
	readonly vacuumPa: number;
	readonly bowlVacuumPa: number;
	/** At the pump's outlet, Pa above the atmosphere. */
	readonly dischargePa: number;
	/** Pressure difference over dead head, both at these volts and in this liquid. */
	readonly headShare: number;
	readonly amps: number;
	readonly voltsShare: number;
	/** The pump's line at these volts: free flow, m³/s, and dead head, Pa. */
	readonly freeFlowM3s: number;
	readonly deadHeadPa: number;
}

/** Solves point after point on one set of parts. */
export class SteadyLine {
	private readonly parts: SteadyParts;
	private readonly circuit: Circuit;

	constructor(parts: SteadyParts) {
		this.parts = parts;
		this.circuit = new Circuit(parts.tube, parts.hose, parts.returns);
	}

	/**
	 * Volts, current and released air shift the pump's line, which in turn sets them: repeated until
	 * the flow moves by less than 1e-10 of free flow. The pump's outlet ends at the pump's height, as
	 * a return does that is full up to the filler. Flow 0 where the pump does not lift the liquid.
	 */
	solve(conditions: SteadyConditions): SteadyPoint {
		const { circuit, parts } = this;
		const { kind, atmospherePa, ratedVolts, runningAmps } = parts;
		this.pose(conditions);
		const headPa = this.headPa(conditions);
		let voltsShare = parts.restVolts / ratedVolts;
		let released = 0;
		let before = Number.NaN;
		let free = 0;
		let amps = runningAmps;
		let headShare = 0;
		for (let turn = 0; turn < TURNS_MAX; turn += 1) {
			free = (conditions.freeFlowM3s * freeFlowShare(kind, voltsShare)) / (1 + released);
			circuit.headPa = headPa * deadHeadShare(kind, voltsShare);
			circuit.slopePaPerM3s = circuit.headPa / Math.max(free, 1e-9);
			circuit.solve(1, true);
			const flow = circuit.outM3s;
			if (Math.abs(flow - before) <= 1e-10 * conditions.freeFlowM3s) break;
			before = flow;
			const out = circuit.outletPa + circuit.returns.dropPa(flow);
			headShare = circuit.headPa > 0 ? (out - circuit.inletPa) / circuit.headPa : 0;
			amps = runningAmps * currentShare(kind, headShare, 0);
			voltsShare = (parts.restVolts - amps * parts.supplyOhm) / ratedVolts;
			const vacuum = atmospherePa - circuit.inletPa;
			released = Math.max(0, vacuum - AIR_RELEASE_PA) * AIR_PER_PA;
		}
		return {
			flowM3s: circuit.outM3s,
			vacuumPa: atmospherePa - circuit.inletPa,
			bowlVacuumPa: atmospherePa - circuit.bowlPa,
			dischargePa: circuit.outletPa + circuit.returns.dropPa(circuit.outM3s) - atmospherePa,
			headShare,
			amps,
			voltsShare,
			freeFlowM3s: free,
			deadHeadPa: circuit.headPa,
		};
	}

	/**
	 * Vacuum that a flow asks for at the pump's inlet, and the pressure difference that the pump has
	 * to make for it, Pa: the system's curve.
	 */
	demandPa(conditions: SteadyConditions, flowM3s: number): { vacuum: number; rise: number } {
		this.pose(conditions);
		const { circuit } = this;
		const line = circuit.tube.dropPa(flowM3s) + circuit.hose.dropPa(flowM3s);
		const columnPa = circuit.densityKgM3 * GRAVITY_MS2 * circuit.columnM;
		const bowl = circuit.footPa - columnPa - line;
		const inlet = bowl - conditions.elementPaPerM3s * flowM3s;
		const out = circuit.outletPa + circuit.returns.dropPa(flowM3s);
		return { vacuum: this.parts.atmospherePa - inlet, rise: out - inlet };
	}

	private pose({ liquid, depthM, elementPaPerM3s }: SteadyConditions): void {
		const { circuit, parts } = this;
		const { atmospherePa, riseM } = parts;
		circuit.fill(liquid);
		circuit.footPa = atmospherePa + liquid.densityKgM3 * GRAVITY_MS2 * depthM;
		circuit.outletPa = atmospherePa;
		circuit.inletPaMin = atmospherePa - parts.wetSuctionPa;
		circuit.columnM = Math.max(0, riseM);
		circuit.columnMaxM = circuit.columnM;
		circuit.elementPaPerM3s = elementPaPerM3s;
	}

	private headPa({ liquid, deadHeadPa }: SteadyConditions): number {
		const { kind, ratedPas } = this.parts;
		return deadHeadPa * slipShare(kind, liquid.dynamicPas / ratedPas);
	}
}
