// How much of a run the kept tick inputs cover: windows are of ten minutes before a stop, a run may
// be of hours. Pure.

import type { RecordedTicks } from "../../sim/bench/replay.ts";
import type { Moment } from "../archive/runs.ts";
import type { Span } from "./answer.ts";

/** @param endMs the latest that is known of the run in the boot that it began in */
export function spanOf(begin: Moment, endMs: number, stretches: readonly RecordedTicks[]): Span {
	const parts = stretches
		.flatMap(({ begin: from, tape }) => {
			if (from.type === "boot" || from.state.boot !== begin.boot || tape.length === 0) return [];
			return [{ fromMs: from.state.nowMs, toMs: tape.fieldAt(tape.length - 1, 0) }];
		})
		.sort((a, b) => a.fromMs - b.fromMs);
	let atMs = begin.monoMs;
	let decidedMs = 0;
	let gaps = 0;
	for (const { fromMs, toMs } of parts) {
		const [first, last] = [Math.max(fromMs, atMs), Math.min(toMs, endMs)];
		if (last <= first) continue;
		if (first > atMs) gaps += 1;
		decidedMs += last - first;
		atMs = last;
	}
	if (endMs > atMs) gaps += 1;
	const runSeconds = Math.max(0, endMs - begin.monoMs) / 1000;
	return { run: begin.seq, runSeconds, decidedSeconds: decidedMs / 1000, gaps };
}
