// The dead-man's board on a bench of its own: supply, beat and K2's coil around the netlist of
// hardware/dead-man, run by the circuit simulator; and what is read off its waveforms.

import { join } from "node:path";
import { folder, limits, nominal, type Values } from "./dead-man-parts.ts";
import { simulate, type Waves } from "./spice.ts";

/** Level of the beat's wire from a time on, V; null is a pin that floats. */
export interface Level {
	readonly atS: number;
	readonly volts: number | null;
}

export interface Bench {
	readonly beat: readonly Level[];
	readonly seconds: number;
	/** Parts that are not nominal. */
	readonly values?: Values;
	readonly celsius?: number;
	/** Volts at the terminal 12V by time; 12 V that come up in 10 ms when left out. */
	readonly supply?: ReadonlyArray<readonly [atS: number, volts: number]>;
	/** Mains near the beat's wire: 230 V, 50 Hz, through 10 MΩ and 10 pF. */
	readonly hum?: boolean;
	/** The run timer says from then on that the time is over. */
	readonly timerAtS?: number;
	readonly stepS?: number;
}

export interface Seen extends Waves {
	/** Reservoir, V, and K2's coil, A, at a time. */
	reservoirAt(atS: number): number;
	coilAt(atS: number): number;
	/** When K2 closed and opened, s: pull-in by the coil's current, drop-out likewise. */
	readonly moves: ReadonlyArray<{ readonly atS: number; readonly closed: boolean }>;
	readonly coilMostAmps: number;
	readonly reservoirMostVolts: number;
}

const EDGE_S = 1e-6;
const STEP_S = 0.004;
const PIN_OHM = 25;
const SUPPLY = [
	[0, 0],
	[0.01, 12],
] as const;

/** Beat: one level change in each half period, the first of them rising. */
export function beating(fromS: number, edges: number, volts = 5, periodS = 0.1): Level[] {
	return Array.from({ length: edges }, (_, i) => ({
		atS: fromS + i * periodS,
		volts: i % 2 === 0 ? volts : 0,
	}));
}

/** A source that steps: flat until each time, then at its new value within a microsecond. */
function stepped(points: ReadonlyArray<readonly [atS: number, value: number]>): string {
	let before = 0;
	const corners = points.flatMap(([atS, value]) => {
		const from = before;
		before = value;
		return atS <= 0 ? [] : [`${atS.toFixed(7)} ${from}`, `${(atS + EDGE_S).toFixed(7)} ${value}`];
	});
	const first = points.find(([atS]) => atS <= 0)?.[1] ?? 0;
	return `pwl(0 ${first} ${corners.join("\n+ ")})`;
}

function circuitOf({ beat, values, supply, hum, timerAtS }: Bench): string {
	const params = Object.entries({ ...nominal, ...values });
	let held = 0;
	const levels = beat.map(({ atS, volts }) => {
		held = volts ?? held;
		return [atS, held] as const;
	});
	const drives = beat.map(({ atS, volts }) => [atS, volts === null ? 0 : 1] as const);
	const ramp = (supply ?? SUPPLY).map(([atS, volts]) => `${atS} ${volts}`);
	return `dead-man on its bench
${params.map(([name, value]) => `.param ${name}=${value}`).join("\n")}
.include ${join(folder, "dead-man.cir")}
V12 t12 0 pwl(${ramp.join(" ")})
Vlevel level 0 ${stepped(levels)}
Vdrive drive 0 ${stepped(drives)}
Spin level beat drive 0 pin
.model pin sw(vt=0.5 vh=0.1 ron=${PIN_OHM} roff=1e12)
Vhum mains 0 ${hum === true ? "sin(0 325.3 50)" : "0"}
Rhum mains beat ${hum === true ? "10meg" : "1e15"}
Chum mains beat ${hum === true ? "10p" : "1e-18"}
V14 q14 0 ${timerAtS === undefined ? "0" : stepped([[timerAtS, 5]])}
Xboard t12 0 beat coil q14 released res v5 gate deadman
Vcoil coilk coil 0
Xk2 t12 coilk k2`;
}

export function watch(bench: Bench): Seen {
	const { seconds, celsius = 27, stepS = STEP_S, hum } = bench;
	const vectors = {
		res: "v(res)",
		gate: "v(gate)",
		amps: "i(vcoil)",
		v5: "v(v5)",
		vin: "v(xboard.vin)",
	};
	const finest = hum === true ? { mostS: 0.001 } : {};
	const waves = simulate({
		circuit: circuitOf(bench),
		celsius,
		seconds,
		stepS,
		vectors,
		...finest,
	});
	const amps = waves.of.amps ?? [];
	const res = waves.of.res ?? [];
	const at = (row: readonly number[], atS: number) =>
		row[Math.min(row.length - 1, Math.max(0, Math.round(atS / stepS)))] ?? Number.NaN;
	return {
		...waves,
		reservoirAt: (atS) => at(res, atS),
		coilAt: (atS) => at(amps, atS),
		moves: movesOf(amps, stepS, { ...nominal, ...bench.values }.rcoil ?? Number.NaN),
		coilMostAmps: Math.max(...amps),
		reservoirMostVolts: Math.max(...res),
	};
}

function movesOf(amps: readonly number[], stepS: number, coilOhm: number): Seen["moves"] {
	const pullIn = limits.pullInVolts / coilOhm;
	const dropOut = (limits.dropOutShare * 12) / coilOhm;
	const moves: Array<{ atS: number; closed: boolean }> = [];
	let closed = false;
	amps.forEach((current, i) => {
		if (closed ? current >= dropOut : current < pullIn) return;
		closed = !closed;
		moves.push({ atS: i * stepS, closed });
	});
	return moves;
}
