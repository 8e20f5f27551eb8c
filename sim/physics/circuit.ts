// The hydraulic circuit: foot of the tube, tube, hose, bowl, element, pump, return. One equation in
// one unknown, solved every step: what the pump moves must be what the line brings, less what the
// gas in line and bowl gives way. Imports pipe.ts. Source: Bernoulli, and the ideal gas at one
// temperature; the column's weight is taken at the end of the step, so that the step may be long.

import { LAMINAR_RE, type Liquid, laminarPaPerM3s, type Pipe, pressureDropPa } from "./pipe.ts";

export const GRAVITY_MS2 = 9.80665;
/** Gas below this is none, J of p V: a tenth of a microlitre at sea level. */
const GAS_J_MIN = 1e-5;
const STEPS_MAX = 40;

/**
 * One pipe with its laminar part worked out, so that most calls are two products. Numbers go in and
 * out by fields, here and in the circuit: across a call they would each be put in a box.
 */
export class Conduit {
	flowM3s = 0;
	dropPa = 0;
	/** Slope of the drop: exact while laminar, an estimate good for Newton beyond. */
	slopePaPerM3s = 0;
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

	/** The drop at a flow, for whoever does not count nanoseconds, Pa. */
	dropAtPa(flowM3s: number): number {
		this.flowM3s = flowM3s;
		this.meet();
		return this.dropPa;
	}

	/** Works out `dropPa` and `slopePaPerM3s` at `flowM3s`. */
	meet(): void {
		const { flowM3s, linear, square } = this;
		const flow = Math.abs(flowM3s);
		if (flow > this.laminarM3s) {
			this.dropPa = pressureDropPa(this.pipe, this.liquid, flowM3s);
			this.slopePaPerM3s = (1.8 * this.dropPa) / flowM3s;
			return;
		}
		this.dropPa = (linear + square * flow) * flowM3s;
		this.slopePaPerM3s = linear + 2 * square * flow;
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

	private excessPa = 0;
	private slope = 0;
	private linePa = 0;
	private lineSlope = 0;
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
		this.returns.dropPa = 0;
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
		const before = this.outM3s;
		this.outM3s = before > 0 && before < high ? before : 0.5 * free;
		for (let step = 0; step < STEPS_MAX; step += 1) {
			this.weigh();
			const flow = this.outM3s;
			const excess = this.excessPa;
			if (excess > 0) low = flow;
			else high = flow;
			const move = -excess / this.slope;
			// What is left is rounding: the results stand as they were worked out for this flow.
			if (Math.abs(move) <= 1e-12 * free) break;
			const newton = flow + move;
			if (newton > low && newton < high) this.outM3s = newton;
			else if (low === 0 && this.standsStill()) return false;
			else this.outM3s = (low + high) / 2;
		}
		return true;
	}

	private standsStill(): boolean {
		this.outM3s = 0;
		this.weigh();
		return this.excessPa <= 0;
	}

	/** All results for the flow `outM3s`; what pressure is left over at the bowl, and its slope. */
	private weigh(): void {
		const { dtS, gasJ, returns, outM3s: flow } = this;
		returns.flowM3s = flow;
		returns.meet();
		let inlet = this.outletPa + returns.dropPa - this.headPa;
		inlet += this.slopePaPerM3s * flow;
		let inletSlope = this.slopePaPerM3s + returns.slopePaPerM3s;
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
		this.meetLine();
		this.slope = -this.lineSlope * inflowSlope - bowlSlope;
		this.excessPa = this.footPa - this.linePa - bowl;
	}

	/** No flow through the pump: the gas's own pressure carries the column, or the valves do. */
	private solveStanding(): void {
		const { dtS, gasJ, roomM3 } = this;
		if (gasJ <= GAS_J_MIN || roomM3 <= 0) {
			this.inM3s = 0;
			this.meetLine();
			this.inM3s = roomM3 / dtS;
			this.bowlPa = this.footPa - this.linePa;
			this.inletPa = this.bowlPa;
			return;
		}
		let high = roomM3 / dtS;
		let low = -4 * high - 1e-3;
		this.inM3s = Math.min(this.inM3s, 0.5 * high);
		for (let step = 0; step < STEPS_MAX; step += 1) {
			const inflow = this.inM3s;
			const left = roomM3 - inflow * dtS;
			const bowl = gasJ / left;
			this.meetLine();
			const excess = this.footPa - this.linePa - bowl;
			if (excess > 0) low = inflow;
			else high = inflow;
			const move = excess / (this.lineSlope + (bowl / left) * dtS);
			if (Math.abs(move) <= 1e-12 * high) break;
			const newton = inflow + move;
			this.inM3s = newton > low && newton < high ? newton : (low + high) / 2;
		}
		this.bowlPa = gasJ / (roomM3 - this.inM3s * dtS);
		this.inletPa = this.bowlPa;
	}

	/** Weight of the column and friction from the foot to the bowl at `inM3s`, and their slope. */
	private meetLine(): void {
		const { inM3s, tube, hose, dtS } = this;
		tube.flowM3s = inM3s;
		hose.flowM3s = inM3s;
		tube.meet();
		hose.meet();
		const weight = this.densityKgM3 * GRAVITY_MS2;
		const rise = this.columnM + inM3s * dtS * this.columnMPerM3;
		const column = Math.max(0, Math.min(rise, this.columnMaxM));
		const friction = this.tubeShare * tube.dropPa + this.hoseShare * hose.dropPa;
		this.linePa = weight * column + friction + this.footPaPerM3s * inM3s;
		const moves = rise > 0 && rise < this.columnMaxM ? dtS * this.columnMPerM3 : 0;
		this.lineSlope =
			weight * moves +
			this.tubeShare * tube.slopePaPerM3s +
			this.hoseShare * hose.slopePaPerM3s +
			this.footPaPerM3s;
	}
}
