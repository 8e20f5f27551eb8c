// The hydraulic circuit: foot of the tube, tube, hose, bowl, element, pump, return. One equation in
// one unknown, solved every step: what the pump moves must be what the line brings, less what the
// gas in line and bowl gives way. Imports pipe.ts. Source: Bernoulli, and the ideal gas at one
// temperature; the column's weight is taken at the end of the step, so that the step may be long.

import { LAMINAR_RE, type Liquid, laminarPaPerM3s, type Pipe, pressureDropPa } from "./pipe.ts";

export const GRAVITY_MS2 = 9.80665;
/** Gas below this is none, J of p V: a tenth of a microlitre at sea level. */
const GAS_J_MIN = 1e-5;
const STEPS_MAX = 40;

/** One pipe with its laminar part worked out, so that most calls are two products. */
export class Conduit {
	private readonly pipe: Pipe;
	private liquid: Liquid = { densityKgM3: 1, dynamicPas: 1 };
	private laminarM3s = 0;
	private linear = 0;
	private square = 0;

	constructor(pipe: Pipe) {
		this.pipe = pipe;
	}

	get volumeM3(): number {
		return this.areaM2 * this.pipe.lengthM;
	}

	get areaM2(): number {
		return (Math.PI / 4) * this.pipe.boreM ** 2;
	}

	fill(liquid: Liquid): void {
		const { boreM, lossK } = this.pipe;
		this.liquid = { ...liquid };
		this.laminarM3s = (LAMINAR_RE * Math.PI * boreM * liquid.dynamicPas) / (4 * liquid.densityKgM3);
		this.linear = laminarPaPerM3s(this.pipe, liquid);
		this.square = (lossK * liquid.densityKgM3) / (2 * this.areaM2 ** 2);
	}

	dropPa(flowM3s: number): number {
		const flow = Math.abs(flowM3s);
		if (flow > this.laminarM3s) return pressureDropPa(this.pipe, this.liquid, flowM3s);
		return (this.linear + this.square * flow) * flowM3s;
	}

	/** Slope of the drop, Pa s/m³: exact while laminar, an estimate good for Newton beyond. */
	slopePaPerM3s(flowM3s: number): number {
		const flow = Math.abs(flowM3s);
		if (flow > this.laminarM3s) return (1.8 * this.dropPa(flow)) / flow;
		return this.linear + 2 * this.square * flow;
	}
}

/** What holds during one step. Pressures are absolute, Pa. Filled by the rig, read by `solve`. */
export class Circuit {
	readonly tube: Conduit;
	readonly hose: Conduit;
	readonly returns: Conduit;
	densityKgM3 = 1;
	/** Outside the tube's foot. */
	footPa = 0;
	/** At the pump's outlet while nothing flows. */
	outletPa = 0;
	/** The pump's line: pressure rise at no flow, Pa, and what each m³/s takes of it. */
	headPa = 0;
	slopePaPerM3s = 0;
	/** Lowest pressure that the pump can make at its inlet. */
	inletPaMin = 0;
	elementPaPerM3s = 0;
	/** What stands in the way at the tube's foot, Pa s/m³. */
	footPaPerM3s = 0;
	/** Height of liquid above the foot that the vacuum carries, its rise per m³, and its top, m. */
	columnM = 0;
	columnMPerM3 = 0;
	columnMaxM = 0;
	/** Share of tube and hose that holds liquid: air has next to no friction. */
	tubeShare = 1;
	hoseShare = 1;
	/** Gas in line and bowl as p V, J, and the volume that it has now, m³. */
	gasJ = 0;
	roomM3 = 0;

	/** Flow through element and pump, and into the tube's foot, m³/s. */
	outM3s = 0;
	inM3s = 0;
	bowlPa = 0;
	inletPa = 0;

	private slope = 0;
	private dtS = 1;

	constructor(tube: Pipe, hose: Pipe, returns: Pipe) {
		this.tube = new Conduit(tube);
		this.hose = new Conduit(hose);
		this.returns = new Conduit(returns);
	}

	fill(liquid: Liquid): void {
		this.densityKgM3 = liquid.densityKgM3;
		this.tube.fill(liquid);
		this.hose.fill(liquid);
		this.returns.fill(liquid);
	}

	/**
	 * Flows and pressures over a step. Valves let nothing back: where the line cannot give what
	 * little the pump asks, it moves nothing and the line settles by itself.
	 * @param open false when nothing may pass the pump, as behind an anti-siphon hole
	 */
	solve(dtS: number, open: boolean): void {
		this.dtS = dtS;
		if (open && this.solveMoving()) return;
		this.outM3s = 0;
		this.solveStanding();
	}

	/**
	 * Newton on the pump's flow, kept inside an interval. The sum of pressures falls strictly with
	 * the flow, as each part of it does: there is one root or, at 0, none.
	 */
	private solveMoving(): boolean {
		const free = this.headPa > 0 ? this.headPa / this.slopePaPerM3s : 1e-4;
		let low = 0;
		let high = 4 * free;
		let flow = this.outM3s > 0 && this.outM3s < high ? this.outM3s : 0.5 * free;
		for (let step = 0; step < STEPS_MAX; step += 1) {
			const excess = this.excessPa(flow);
			if (excess > 0) low = flow;
			else high = flow;
			const move = -excess / this.slope;
			// What is left is rounding: the results stand as they were worked out for this flow.
			if (Math.abs(move) <= 1e-12 * free) break;
			const newton = flow + move;
			if (newton > low && newton < high) flow = newton;
			else if (low === 0 && this.excessPa(0) <= 0) return false;
			else flow = (low + high) / 2;
		}
		this.outM3s = flow;
		return true;
	}

	/** Pressure that is left over at the bowl for a pump flow, Pa; sets all results and the slope. */
	private excessPa(flow: number): number {
		const { dtS, gasJ } = this;
		let inlet = this.outletPa + this.returns.dropPa(flow) - this.headPa;
		inlet += this.slopePaPerM3s * flow;
		let inletSlope = this.slopePaPerM3s + this.returns.slopePaPerM3s(flow);
		if (inlet < this.inletPaMin) {
			inlet = this.inletPaMin;
			inletSlope = 0;
		}
		const bowl = inlet + this.elementPaPerM3s * flow;
		const bowlSlope = inletSlope + this.elementPaPerM3s;
		let inflow = flow + this.roomM3 / dtS;
		let inflowSlope = 1;
		if (gasJ > GAS_J_MIN) {
			inflow -= gasJ / bowl / dtS;
			inflowSlope += ((gasJ / bowl / bowl) * bowlSlope) / dtS;
		}
		this.inletPa = inlet;
		this.bowlPa = bowl;
		this.inM3s = inflow;
		const lineSlope = this.lineSlope(inflow);
		this.slope = -lineSlope * inflowSlope - bowlSlope;
		return this.footPa - this.linePa(inflow) - bowl;
	}

	/** No flow through the pump: the gas's own pressure carries the column, or the valves do. */
	private solveStanding(): void {
		const { dtS, gasJ, roomM3 } = this;
		if (gasJ <= GAS_J_MIN || roomM3 <= 0) {
			this.inM3s = roomM3 / dtS;
			this.bowlPa = this.footPa - this.linePa(0);
			this.inletPa = this.bowlPa;
			return;
		}
		let high = roomM3 / dtS;
		let low = -4 * high - 1e-3;
		let inflow = Math.min(this.inM3s, 0.5 * high);
		for (let step = 0; step < STEPS_MAX; step += 1) {
			const left = roomM3 - inflow * dtS;
			const bowl = gasJ / left;
			const excess = this.footPa - this.linePa(inflow) - bowl;
			if (excess > 0) low = inflow;
			else high = inflow;
			const move = excess / (this.lineSlope(inflow) + (bowl / left) * dtS);
			if (Math.abs(move) <= 1e-12 * high) break;
			const newton = inflow + move;
			inflow = newton > low && newton < high ? newton : (low + high) / 2;
		}
		this.inM3s = inflow;
		this.bowlPa = gasJ / (roomM3 - inflow * dtS);
		this.inletPa = this.bowlPa;
	}

	/** Weight of the column and friction from the foot to the bowl, Pa. */
	private linePa(inflow: number): number {
		const rise = this.columnM + inflow * this.dtS * this.columnMPerM3;
		const column = Math.max(0, Math.min(rise, this.columnMaxM));
		const friction =
			this.tubeShare * this.tube.dropPa(inflow) + this.hoseShare * this.hose.dropPa(inflow);
		return this.densityKgM3 * GRAVITY_MS2 * column + friction + this.footPaPerM3s * inflow;
	}

	private lineSlope(inflow: number): number {
		const rise = this.columnM + inflow * this.dtS * this.columnMPerM3;
		const moves = rise > 0 && rise < this.columnMaxM ? this.dtS * this.columnMPerM3 : 0;
		return (
			this.densityKgM3 * GRAVITY_MS2 * moves +
			this.tubeShare * this.tube.slopePaPerM3s(inflow) +
			this.hoseShare * this.hose.slopePaPerM3s(inflow) +
			this.footPaPerM3s
		);
	}
}
