// The hydraulic circuit: foot of the tube, tube, hose, bowl, element, pump, return. One equation in
// one unknown, solved every step: what the pump moves must be what the line brings, less what the
// gas in line and bowl gives way. Imports pipe.ts. Source: Bernoulli, and the ideal gas at one
// temperature; the column's weight is taken at the end of the step, so that the step may be long.

import { NOUGHT, ONE } from "./fraction.ts";
import { LAMINAR_RE, type Liquid, laminarPaPerM3s, type Pipe, pressureDropPa } from "./pipe.ts";

const GRAVITY = 9.80665;
export const GRAVITY_MS2 = GRAVITY;
/** Gas below this is none, J of p V: a tenth of a microlitre at sea level. */
const GAS_J_MIN = 1e-5;
/** Stands for the free flow where no pump turns, m³/s. */
const FREE_M3S = 1e-4;
const STEPS_MAX = 40;
const LAMINAR_STEPS_MAX = 8;

/** One pipe with its laminar part worked out, so that most calls are two products. */
export class Conduit {
	private readonly pipe: Pipe;
	private liquid: Liquid = { densityKgM3: 1, dynamicPas: 1 };
	/** Up to this flow the drop is (linear + square |flow|) flow. */
	laminarM3s = NOUGHT;
	linear = NOUGHT;
	square = NOUGHT;

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

	/** Drop at a flow, Pa. */
	dropPa(flowM3s: number): number {
		const flow = Math.abs(flowM3s);
		if (flow > this.laminarM3s) {
			return Math.sign(flowM3s) * pressureDropPa(this.pipe, this.liquid, flow);
		}
		return (this.linear + this.square * flow) * flowM3s;
	}

	/** Slope of that drop, Pa s/m³: exact while laminar, an estimate good for Newton beyond. */
	slopePaPerM3s(flowM3s: number, dropPa: number): number {
		const flow = Math.abs(flowM3s);
		if (flow > this.laminarM3s) return (1.8 * dropPa) / flowM3s;
		return this.linear + 2 * this.square * flow;
	}
}

/** What holds during one step. Pressures are absolute, Pa. Filled by the rig, read by `solve`. */
export class Circuit {
	readonly tube: Conduit;
	readonly hose: Conduit;
	readonly returns: Conduit;
	densityKgM3 = ONE;
	/** Outside the tube's foot. */
	footPa = NOUGHT;
	/** At the pump's outlet while nothing flows. */
	outletPa = NOUGHT;
	/** The pump's line: pressure rise at no flow, Pa, and what each m³/s takes of it. */
	headPa = NOUGHT;
	slopePaPerM3s = NOUGHT;
	/** Lowest pressure that the pump can make at its inlet. */
	inletPaMin = NOUGHT;
	elementPaPerM3s = NOUGHT;
	/** What stands in the way at the tube's foot, Pa s/m³. */
	footPaPerM3s = NOUGHT;
	/** Height of liquid above the foot that the vacuum carries, its rise per m³, and its top, m. */
	columnM = NOUGHT;
	columnMPerM3 = NOUGHT;
	columnMaxM = NOUGHT;
	/** Share of tube and hose that holds liquid: air has next to no friction. */
	tubeShare = ONE;
	hoseShare = ONE;
	/** Gas in line and bowl as p V, J, and the volume that it has now, m³. */
	gasJ = NOUGHT;
	roomM3 = NOUGHT;

	/** Flow through element and pump, and into the tube's foot, m³/s. */
	outM3s = NOUGHT;
	inM3s = NOUGHT;
	bowlPa = NOUGHT;
	inletPa = NOUGHT;
	/** Drop from the pump's outlet to the return's end. */
	returnPa = NOUGHT;

	private perS = ONE;
	private weightPaPerM = NOUGHT;
	/** Tube, hose and what stands in the way as one conduit, by what of them holds liquid. */
	private lineLaminarM3s = NOUGHT;
	private lineLinear = NOUGHT;
	private lineSquare = NOUGHT;
	private turbulentSlope = NOUGHT;
	/** Rise of the column with the inflow over a step, m per m³/s. */
	private risePerM3s = NOUGHT;

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
		this.lineLaminarM3s = Math.min(this.tube.laminarM3s, this.hose.laminarM3s);
	}

	/**
	 * Flows and pressures over a step. Valves let nothing back: where the line cannot give what
	 * little the pump asks, it moves nothing and the line settles by itself.
	 * @param open false when nothing may pass the pump, as behind an anti-siphon hole
	 */
	solve(dtS: number, open: boolean): void {
		const { tube, hose, tubeShare, hoseShare } = this;
		this.perS = 1 / dtS;
		this.risePerM3s = dtS * this.columnMPerM3;
		this.weightPaPerM = this.densityKgM3 * GRAVITY;
		this.lineLinear = tubeShare * tube.linear + hoseShare * hose.linear + this.footPaPerM3s;
		this.lineSquare = tubeShare * tube.square + hoseShare * hose.square;
		if (open && (this.solveLaminar() || this.solveMoving())) return;
		this.outM3s = 0;
		this.returnPa = 0;
		this.solveStanding();
	}

	/**
	 * Newton on the pump's flow while all of it is laminar, as nearly always: nothing is called from
	 * its loop, so that the numbers stay in the processor's registers. False where it does not apply.
	 */
	private solveLaminar(): boolean {
		const { headPa, slopePaPerM3s, elementPaPerM3s, inletPaMin, perS, footPa, gasJ } = this;
		const { lineLinear, lineSquare, lineLaminarM3s, columnM, risePerM3s, weightPaPerM } = this;
		const { laminarM3s, linear, square } = this.returns;
		const { columnMaxM } = this;
		const stillPa = this.outletPa - headPa;
		const roomPerS = this.roomM3 * perS;
		const gasPerS = gasJ > GAS_J_MIN ? gasJ * perS : 0;
		const enough = 1e-12 * (headPa > 0 ? headPa / slopePaPerM3s : FREE_M3S);
		let flow = this.outM3s;
		for (let step = 0; step < LAMINAR_STEPS_MAX; step += 1) {
			if (!(flow > 0 && flow <= laminarM3s)) return false;
			const returnPa = (linear + square * flow) * flow;
			let inlet = stillPa + returnPa + slopePaPerM3s * flow;
			let bowlSlope = elementPaPerM3s;
			if (inlet < inletPaMin) inlet = inletPaMin;
			else bowlSlope += slopePaPerM3s + linear + 2 * square * flow;
			const bowl = inlet + elementPaPerM3s * flow;
			let inflow = flow + roomPerS;
			let inflowSlope = 1;
			if (gasPerS > 0) {
				const gas = gasPerS / bowl;
				inflow -= gas;
				inflowSlope += (gas / bowl) * bowlSlope;
			}
			const column = columnM + inflow * risePerM3s;
			if (!(inflow >= 0 && inflow <= lineLaminarM3s && column > 0)) return false;
			const isFull = column >= columnMaxM;
			const columnPa = weightPaPerM * (isFull ? columnMaxM : column);
			const columnSlope = isFull ? 0 : weightPaPerM * risePerM3s;
			const linePa = (lineLinear + lineSquare * inflow) * inflow + columnPa;
			const lineSlope = lineLinear + 2 * lineSquare * inflow + columnSlope;
			const move = (footPa - linePa - bowl) / (lineSlope * inflowSlope + bowlSlope);
			if (Math.abs(move) <= enough) {
				this.outM3s = flow;
				this.inM3s = inflow;
				this.returnPa = returnPa;
				this.inletPa = inlet;
				this.bowlPa = bowl;
				return true;
			}
			flow += move;
		}
		return false;
	}

	/**
	 * Newton on the pump's flow, kept inside an interval. The sum of pressures falls strictly with
	 * the flow, as each part of it does: there is one root or, at 0, none.
	 */
	private solveMoving(): boolean {
		const { returns, headPa, slopePaPerM3s, elementPaPerM3s, inletPaMin, perS } = this;
		const stillPa = this.outletPa - headPa;
		const roomPerS = this.roomM3 * perS;
		const gasPerS = this.gasJ > GAS_J_MIN ? this.gasJ * perS : 0;
		const free = headPa > 0 ? headPa / slopePaPerM3s : FREE_M3S;
		let low = 0;
		let high = 4 * free;
		let flow = this.outM3s > 0 && this.outM3s < high ? this.outM3s : 0.5 * free;
		let returnPa = 0;
		let inlet = 0;
		let bowl = 0;
		let inflow = 0;
		for (let step = 0; step < STEPS_MAX; step += 1) {
			returnPa = returns.dropPa(flow);
			inlet = stillPa + returnPa + slopePaPerM3s * flow;
			let bowlSlope = elementPaPerM3s;
			if (inlet < inletPaMin) inlet = inletPaMin;
			else bowlSlope += slopePaPerM3s + returns.slopePaPerM3s(flow, returnPa);
			bowl = inlet + elementPaPerM3s * flow;
			inflow = flow + roomPerS;
			let inflowSlope = 1;
			if (gasPerS > 0) {
				const gas = gasPerS / bowl;
				inflow -= gas;
				inflowSlope += (gas / bowl) * bowlSlope;
			}
			const excess = this.footPa - this.linePa(inflow) - bowl;
			if (excess > 0) low = flow;
			else high = flow;
			const move = excess / (this.lineSlope(inflow) * inflowSlope + bowlSlope);
			// What is left is rounding: the results stand as they were worked out for this flow.
			if (Math.abs(move) <= 1e-12 * free) break;
			const newton = flow + move;
			if (newton > low && newton < high) flow = newton;
			else if (low === 0 && this.standsStill()) return false;
			else flow = (low + high) / 2;
		}
		this.outM3s = flow;
		this.inM3s = inflow;
		this.returnPa = returnPa;
		this.inletPa = inlet;
		this.bowlPa = bowl;
		return true;
	}

	/** Even without a flow through the pump the line cannot give what the pump asks for. */
	private standsStill(): boolean {
		const bowl = Math.max(this.inletPaMin, this.outletPa - this.headPa);
		const gas = this.gasJ > GAS_J_MIN ? this.gasJ / bowl : 0;
		return this.footPa - this.linePa((this.roomM3 - gas) * this.perS) - bowl <= 0;
	}

	/** No flow through the pump: the gas's own pressure carries the column, or the valves do. */
	private solveStanding(): void {
		const { perS, gasJ, roomM3 } = this;
		if (gasJ <= GAS_J_MIN || roomM3 <= 0) {
			this.inM3s = roomM3 * perS;
			this.bowlPa = this.footPa - this.linePa(0);
			this.inletPa = this.bowlPa;
			return;
		}
		const dtS = 1 / perS;
		let high = roomM3 * perS;
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

	/** Weight of the column and friction from the foot to the bowl at an inflow, Pa. */
	private linePa(inM3s: number): number {
		const rise = this.columnM + inM3s * this.risePerM3s;
		const column = Math.min(this.columnMaxM, Math.max(0, rise));
		const weight = this.weightPaPerM * column;
		const flow = Math.abs(inM3s);
		if (flow > this.lineLaminarM3s) return this.turbulentPa(inM3s) + weight;
		return (this.lineLinear + this.lineSquare * flow) * inM3s + weight;
	}

	/** Its slope over the inflow, Pa s/m³. */
	private lineSlope(inM3s: number): number {
		const rise = this.columnM + inM3s * this.risePerM3s;
		const moves = rise > 0 && rise < this.columnMaxM;
		const weight = moves ? this.weightPaPerM * this.risePerM3s : 0;
		const flow = Math.abs(inM3s);
		if (flow > this.lineLaminarM3s) return this.turbulentSlope + weight;
		return this.lineLinear + 2 * this.lineSquare * flow + weight;
	}

	/** The friction of tube and hose, each by its own regime, Pa; keeps its slope. */
	private turbulentPa(inM3s: number): number {
		const { tube, hose, tubeShare, hoseShare, footPaPerM3s } = this;
		const tubePa = tube.dropPa(inM3s);
		const hosePa = hose.dropPa(inM3s);
		this.turbulentSlope =
			tubeShare * tube.slopePaPerM3s(inM3s, tubePa) +
			hoseShare * hose.slopePaPerM3s(inM3s, hosePa) +
			footPaPerM3s;
		return tubeShare * tubePa + hoseShare * hosePa + footPaPerM3s * inM3s;
	}
}
