// Level changes of the output channels on two boards beside each other: each edge of the one has
// its partner in the other, in the same order on each channel, within a tolerance of time. Pure;
// imports the firmware's names of outputs and its tape.

import { outputNames } from "../../firmware/board/port.ts";
import type { Tape } from "../../firmware/log/tape.ts";

/** An output channel has changed its level; `atMs` counts from the scenario's beginning. */
export interface Edge {
	readonly channel: string;
	readonly high: boolean;
	readonly atMs: number;
}

/** The edges that a run's controller asked for, tick by tick; levels are low before it. */
export function edgesOf(tape: Tape): Edge[] {
	const edges: Edge[] = [];
	let before = 0;
	for (let tick = 0; tick < tape.length; tick += 1) {
		const now = tape.levelsAt(tick);
		const { nowMs: atMs } = tape.inputsAt(tick);
		outputNames.forEach((channel, i) => {
			const high = ((now >> i) & 1) === 1;
			if (high !== (((before >> i) & 1) === 1)) edges.push({ channel, high, atMs });
		});
		before = now;
	}
	return edges;
}
