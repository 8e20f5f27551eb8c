// The dead-man circuit that holds contact K2: a diode charge pump fed by the beat's edges, a
// reservoir with a bleed, and a comparator. Charge sharing per rising edge and exponential decay.
// Behind the comparator a one-shot run timer: edges without end do not hold K2 without end.
// Values are the design's own; the circuit simulation of the same netlist is what they are held to.
//
//   beat --|C1|--+--D--+--- reservoir ---> comparator ---> K2
//                D     C2 || R
//               gnd

import { NOUGHT, ONE } from "./physics/fraction.ts";

/** Circuit values. Defaults: silicon-Schottky pair, 5 V drive, sized for a 5 Hz beat. */
export interface DeadManParts {
	readonly driveVolts: number;
	readonly diodeVolts: number;
	readonly c1Farad: number;
	readonly c2Farad: number;
	readonly bleedOhm: number;
	readonly closeVolts: number;
	readonly openVolts: number;
}

export const DEAD_MAN: DeadManParts = {
	driveVolts: 5,
	diodeVolts: 0.3,
	c1Farad: 0.47e-6,
	c2Farad: 1e-6,
	bleedOhm: 1.5e6,
	closeVolts: 2.0,
	openVolts: 1.9,
};

/**
 * The run timer's time, s: longer than any pump may run in one go (the rig file allows 235 min), so
 * that it opens K2 only where edges come that no controller stands behind.
 */
export const RUN_S_MAX = 4 * 3600;
/** A forged beat changes level so often, s. */
const FORGED_S = 0.1;
/** Less is nothing: what decays for ever ends in numbers that arithmetic is slow with. */
const TRACE_VOLTS = 1e-12;
/** Sums of steps fall short of it by rounding. */
const ROUNDING_S = 1e-9;

/** Rise of the reservoir at one rising edge, V: C1 shares its swing with C2. */
export function edgeRiseVolts(parts: DeadManParts, reservoirVolts: number): number {
	const { driveVolts, diodeVolts, c1Farad, c2Farad } = parts;
	const swing = driveVolts - 2 * diodeVolts - reservoirVolts;
	return swing <= 0 ? 0 : (swing * c1Farad) / (c1Farad + c2Farad);
}

export class DeadMan {
	private volts = NOUGHT;
	private level = false;
	private closed = false;
	/** How long the comparator has held, s; 0 as soon as it lets go. */
	private heldS = NOUGHT;
	private forgedS = NOUGHT;
	/** The pin makes edges of its own, whatever is written to it. */
	forging = false;
	private readonly parts: DeadManParts;
	/** Share of its voltage that the reservoir keeps over a step. */
	private keeps = ONE;
	private dtS = NOUGHT;

	constructor(parts: DeadManParts = DEAD_MAN) {
		this.parts = parts;
	}

	get reservoirVolts(): number {
		return this.volts;
	}

	/** Whether comparator and run timer hold K2's coil; what is in series with it is left aside. */
	get holds(): boolean {
		return this.closed === true && this.heldS < RUN_S_MAX - ROUNDING_S;
	}

	/** The beat pin's level from now on. */
	drive(level: boolean): void {
		if (this.forging === false) this.take(level);
	}

	private take(level: boolean): void {
		if (level === true && this.level === false) this.volts += edgeRiseVolts(this.parts, this.volts);
		this.level = level;
		this.compare();
	}

	step(dtS: number): void {
		if (dtS !== this.dtS) {
			this.dtS = dtS;
			this.keeps = Math.exp(-dtS / (this.parts.bleedOhm * this.parts.c2Farad));
		}
		this.volts *= this.keeps;
		if (this.volts < TRACE_VOLTS) this.volts = 0;
		this.compare();
		this.heldS = this.closed === true ? this.heldS + dtS : 0;
		if (this.forging === true) this.forge(dtS);
	}

	private forge(dtS: number): void {
		this.forgedS += dtS;
		if (this.forgedS < FORGED_S - ROUNDING_S) return;
		this.forgedS = 0;
		this.take(!this.level);
	}

	private compare(): void {
		const limit = this.closed === true ? this.parts.openVolts : this.parts.closeVolts;
		this.closed = this.volts >= limit;
	}
}
