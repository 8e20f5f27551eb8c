// The conditions of one tick, gathered only when something asks to start the pump: most ticks ask
// nothing and pay nothing.

import type { Present } from "../cycle/events.ts";
import type { FindingsState } from "./findings.ts";
import type { Sensed } from "./sensed.ts";

type Permits = Pick<Present, "logFailed" | "commissioned" | "armed">;

export function presentOf(sensed: Sensed, findings: FindingsState, permits: Permits): Present {
	const { board, stop, probe, flowLph, motorAmps } = sensed;
	const unknown = [
		...(board === 1 ? [] : [`board ${board === 0 ? "not as driven" : board}`]),
		...(stop.value === "made" || stop.value === "broken" ? [] : [`stop-loop ${stop.value}`]),
		...(probe.value === "wet" || probe.value === "dry" ? [] : [`bowl-probe ${probe.value}`]),
		...(typeof flowLph === "number" ? [] : [`flow-pulse ${flowLph}`]),
		...(typeof motorAmps === "number" ? [] : [`motor-current ${motorAmps}`]),
	];
	const strayCurrent = findings.stray.on;
	return { stop: stop.value, probe: probe.value, unknown, strayCurrent, ...permits };
}
