// Level changes of the output channels, as a controller asked for them and as a board's pins made
// them: each of the one has its partner in the other, in the same order on each channel, within a
// tolerance. Pure; imports the firmware's names of outputs and its tape.

import { type OutputName, outputNames } from "../../firmware/board/port.ts";
import { HUNG, type Tape } from "../../firmware/log/tape.ts";

/** An output channel has changed its level; `atMs` counts from the scenario's beginning. */
export interface Edge {
	readonly channel: string;
	readonly high: boolean;
	readonly atMs: number;
}

export interface Tolerance {
	readonly tickMs: number;
	/** From the tick until the pin moves: what the serial line takes. */
	readonly lineMs: number;
	/** So many ticks later a reading may reach the other controller, and what it decides. */
	readonly lateTicks: number;
	/** Nothing is compared from there on. */
	readonly untilMs: number;
}

export interface EdgeDifference {
	readonly channel: string;
	/** When it was asked for; of an edge that nobody asked for, when it came. */
	readonly atMs: number;
	readonly what: string;
}

/** These change by the count of ticks alone: a reading decides only how long the beat goes on. */
const BY_TICKS: readonly OutputName[] = ["dead-man-beat", "probe-plus", "probe-minus"];
const GOES_ON: OutputName = "dead-man-beat";

/** The edges that a run's controller asked for, tick by tick; all is low before. */
export function edgesOf(tape: Tape): Edge[] {
	const edges: Edge[] = [];
	let before = 0;
	for (let tick = 0; tick < tape.length; tick += 1) {
		const now = tape.levelsAt(tick);
		// A tick that never came to its end asked for nothing.
		if (now === HUNG) continue;
		const changed = now ^ before;
		before = now;
		if (changed === 0) continue;
		const { nowMs: atMs } = tape.inputsAt(tick);
		outputNames.forEach((channel, i) => {
			const bit = 1 << i;
			if ((changed & bit) !== 0) edges.push({ channel, high: (now & bit) !== 0, atMs });
		});
	}
	return edges;
}

/** @returns the first difference of each channel; none where all agree */
export function compareEdges(
	asked: readonly Edge[],
	made: readonly Edge[],
	tolerance: Tolerance,
): EdgeDifference[] {
	return outputNames.flatMap((channel) => {
		const isOf = (edge: Edge) =>
			edge.channel === channel && edge.atMs >= 0 && tickOf(edge, tolerance) < tolerance.untilMs;
		const found = compareChannel(channel, asked.filter(isOf), made.filter(isOf), tolerance);
		return found === null ? [] : [found];
	});
}

function compareChannel(
	channel: OutputName,
	asked: readonly Edge[],
	made: readonly Edge[],
	tolerance: Tolerance,
): EdgeDifference | null {
	const lateTicks = BY_TICKS.includes(channel) ? 0 : tolerance.lateTicks;
	for (const [i, { high, atMs }] of asked.entries()) {
		const partner = made[i];
		const differs = (what: string) => ({ channel, atMs, what });
		if (partner === undefined) return differs("has no partner");
		if (partner.high !== high) return differs(`its partner goes ${high ? "low" : "high"}`);
		const lateMs = partner.atMs - atMs;
		const ticks = Math.floor(lateMs / tolerance.tickMs);
		const onLineMs = lateMs - ticks * tolerance.tickMs;
		if (ticks < 0 || ticks > lateTicks || onLineMs > tolerance.lineMs) {
			return differs(`its partner comes ${lateMs.toFixed(2)} ms later`);
		}
	}
	const more = made.slice(asked.length);
	const [first] = more;
	if (first === undefined) return null;
	// A run that ends so many ticks later beats so many times more.
	const last = asked.at(-1)?.atMs ?? 0;
	const most = channel === GOES_ON ? tolerance.lateTicks : 0;
	const goesOn = more.every(
		(edge, i) => tickOf(edge, tolerance) === last + (i + 1) * tolerance.tickMs,
	);
	if (goesOn && more.length <= most) return null;
	return { channel, atMs: first.atMs, what: "nobody asked for it" };
}

function tickOf({ atMs }: Edge, { tickMs }: Tolerance): number {
	return Math.floor(atMs / tickMs) * tickMs;
}
