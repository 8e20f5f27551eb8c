// One half of the dead-man's charge pump as a circuit: source resistance, two diodes by Shockley's
// equation with their series resistance, reservoir, bleed. Imports nothing. Nothing in it is
// fitted: what comes out follows from the parts. The per-edge model that the bench steps
// (sim/dead-man.ts) is held to it at its first edge, and to the netlist of the whole board
// (hardware/dead-man).
//
//   drive --Rs--C1--+--D2--+------+--- gate
//                   D1     C2     bleed
//                  gnd    gnd     gnd

/** Shockley's diode: I = saturation (exp(V/(ideality V_T)) - 1) behind a series resistance. */
export interface Diode {
	readonly saturationAmps: number;
	readonly ideality: number;
	readonly seriesOhm: number;
}

export interface ChargePump {
	readonly sourceOhm: number;
	readonly c1Farad: number;
	/** Reservoir and gate together. */
	readonly c2Farad: number;
	readonly bleedOhm: number;
	readonly diode: Diode;
}

/** Voltages across C1 (from the drive's side) and at the gate. */
export interface ChargePumpState {
	readonly c1Volts: number;
	readonly gateVolts: number;
}

export const DISCHARGED: ChargePumpState = { c1Volts: 0, gateVolts: 0 };

/** Thermal voltage kT/q at 27 °C, V: the temperature that circuit simulators take. */
const THERMAL_VOLTS = (1.380649e-23 * 300.15) / 1.602176634e-19;
/** Error that one step may add, V. */
const STEP_ERROR_VOLTS = 2e-5;
const FIRST_STEP_S = 1e-7;
const HALVINGS_MAX = 200;

/** Current, A, through the diode at a voltage across it and its series resistance. */
export function diodeAmps({ saturationAmps, ideality, seriesOhm }: Diode, volts: number): number {
	const scale = ideality * THERMAL_VOLTS;
	if (seriesOhm === 0) return saturationAmps * Math.expm1(volts / scale);
	const most = volts / (seriesOhm * saturationAmps);
	// From above the root Newton's method comes down without overshoot: the equation is convex.
	let junction = volts <= 0 ? volts : Math.min(volts, scale * Math.log1p(most));
	for (let pass = 0; pass < 100; pass += 1) {
		const grown = Math.exp(junction / scale);
		const excess = junction + seriesOhm * saturationAmps * (grown - 1) - volts;
		const step = excess / (1 + (seriesOhm * saturationAmps * grown) / scale);
		junction -= step;
		if (Math.abs(step) < 1e-12) break;
	}
	return saturationAmps * Math.expm1(junction / scale);
}

/** One step of the implicit Euler rule. */
function implicit(
	pump: ChargePump,
	from: ChargePumpState,
	driveVolts: number,
	dtS: number,
): ChargePumpState {
	const { sourceOhm, c1Farad, c2Farad, bleedOhm, diode } = pump;
	const ahead = driveVolts - from.c1Volts;
	const inOhm = sourceOhm + dtS / c1Farad;
	const outSiemens = c2Farad / dtS + 1 / bleedOhm;
	const through = (middle: number) => {
		const c1Amps = (ahead - middle) / inOhm;
		const gateAmps = c1Amps + diodeAmps(diode, -middle);
		const gateVolts = ((c2Farad / dtS) * from.gateVolts + gateAmps) / outSiemens;
		return { c1Amps, gateVolts, lack: gateAmps - diodeAmps(diode, middle - gateVolts) };
	};
	// The lack of current at the middle node falls steadily with its voltage: one root, bisected.
	let low = Math.min(ahead, 0) - 0.01;
	let high = Math.max(ahead, from.gateVolts) + 0.01;
	for (let pass = 0; pass < HALVINGS_MAX && high - low > 1e-11; pass += 1) {
		const middle = (low + high) / 2;
		if (through(middle).lack > 0) low = middle;
		else high = middle;
	}
	const { c1Amps, gateVolts } = through((low + high) / 2);
	return { c1Volts: from.c1Volts + (c1Amps * dtS) / c1Farad, gateVolts };
}

/**
 * The circuit after so many seconds at one drive voltage. Steps adapt: one whole against two half
 * ones, and the difference both judges the step and betters it (Richardson).
 * @param seen is told the seconds since the call and the gate's volts after every step
 */
export function advancePump(
	pump: ChargePump,
	from: ChargePumpState,
	driveVolts: number,
	seconds: number,
	seen: (atS: number, gateVolts: number) => void = () => {},
): ChargePumpState {
	let state = from;
	let atS = 0;
	let stepS = FIRST_STEP_S;
	while (atS < seconds) {
		const dtS = Math.min(stepS, seconds - atS);
		const whole = implicit(pump, state, driveVolts, dtS);
		const half = implicit(pump, state, driveVolts, dtS / 2);
		const halves = implicit(pump, half, driveVolts, dtS / 2);
		const error = Math.max(
			Math.abs(halves.c1Volts - whole.c1Volts),
			Math.abs(halves.gateVolts - whole.gateVolts),
		);
		const good = error <= STEP_ERROR_VOLTS || dtS <= FIRST_STEP_S;
		if (good) {
			atS = dtS < stepS ? seconds : atS + dtS;
			state = {
				c1Volts: 2 * halves.c1Volts - whole.c1Volts,
				gateVolts: 2 * halves.gateVolts - whole.gateVolts,
			};
			seen(atS, state.gateVolts);
		}
		// Local error grows with the square of the step.
		const change = 0.9 * Math.sqrt(STEP_ERROR_VOLTS / Math.max(error, 1e-12));
		stepS = Math.max(FIRST_STEP_S, dtS * Math.min(3, Math.max(0.2, change)));
	}
	return state;
}

/** A beat that runs for so many pulses and then stays at one level. */
export interface StoppedBeat {
	readonly driveVolts: number;
	readonly hz: number;
	/** Share of the period at the high level. */
	readonly duty: number;
	readonly pulses: number;
	readonly stuckHigh: boolean;
	readonly thresholdVolts: number;
}

export interface Release {
	/** From the last edge until the gate falls under the threshold; infinity when it never does. */
	readonly releaseS: number;
	/** Within the last whole pulse before the stop. */
	readonly gateMaxVolts: number;
	readonly gateMinVolts: number;
	readonly lastEdgeVolts: number;
}

/** Runs the beat from an empty pump, stops it and waits for the gate to let go. */
export function release(pump: ChargePump, beat: StoppedBeat): Release {
	const { driveVolts, hz, duty, pulses, stuckHigh, thresholdVolts } = beat;
	const highS = duty / hz;
	const lowS = (1 - duty) / hz;
	let state = DISCHARGED;
	let gateMaxVolts = 0;
	let gateMinVolts = 0;
	for (let pulse = 0; pulse < pulses; pulse += 1) {
		// The pulse just before the stop has its low level still ahead: it begins at its minimum.
		gateMinVolts = state.gateVolts;
		gateMaxVolts = state.gateVolts;
		const note = (_: number, volts: number) => {
			gateMaxVolts = Math.max(gateMaxVolts, volts);
		};
		state = advancePump(pump, state, driveVolts, highS, note);
		if (pulse < pulses - 1 || stuckHigh) state = advancePump(pump, state, 0, lowS);
	}
	const lastEdgeVolts = state.gateVolts;
	const stopped = crossings(pump, state, stuckHigh ? driveVolts : 0, thresholdVolts);
	return { releaseS: stopped.lastAboveS, gateMaxVolts, gateMinVolts, lastEdgeVolts };
}

/** What one rising edge alone does to an empty pump whose drive then stays high. */
export function singleEdge(
	pump: ChargePump,
	driveVolts: number,
	thresholdVolts: number,
): { gatePeakVolts: number; aboveS: number } {
	const { peakVolts, aboveS } = crossings(pump, DISCHARGED, driveVolts, thresholdVolts);
	return { gatePeakVolts: peakVolts, aboveS };
}

/** Follows the gate at one drive level until it has rested for a dozen time constants. */
function crossings(
	pump: ChargePump,
	from: ChargePumpState,
	driveVolts: number,
	thresholdVolts: number,
): { peakVolts: number; aboveS: number; lastAboveS: number } {
	let before = { atS: 0, volts: from.gateVolts };
	let peakVolts = before.volts;
	let aboveS = 0;
	let lastAboveS = 0;
	const restS = 12 * pump.bleedOhm * (pump.c1Farad + pump.c2Farad);
	advancePump(pump, from, driveVolts, restS, (atS, volts) => {
		const wasAbove = before.volts >= thresholdVolts;
		const isAbove = volts >= thresholdVolts;
		// Straight between two steps; a step changes the gate by little.
		const share =
			wasAbove === isAbove ? 1 : (thresholdVolts - before.volts) / (volts - before.volts);
		const crossedS = before.atS + share * (atS - before.atS);
		if (wasAbove) aboveS += crossedS - before.atS;
		else if (isAbove) aboveS += atS - crossedS;
		if (wasAbove || isAbove) lastAboveS = isAbove ? atS : crossedS;
		peakVolts = Math.max(peakVolts, volts);
		before = { atS, volts };
	});
	const stays = before.volts >= thresholdVolts;
	return { peakVolts, aboveS, lastAboveS: stays ? Number.POSITIVE_INFINITY : lastAboveS };
}
