// The conditions of one tick, gathered only when something asks to start the pump: most ticks ask
// nothing and pay nothing.

import type { Present } from "../cycle/events.ts";
import type { FindingsState } from "./findings.ts";
import { isUnknown } from "./quantity.ts";
import type { Sensed } from "./sensed.ts";

/** What the cycle needs beside what is sensed. */
export type Permits = Pick<Present, "logFailed" | "commissioned" | "armed">;

const NOT_AS_DRIVEN = "not as driven";

const SENSORS = [
	["bowl-probe", "probeLost"],
	["stop-loop", "stopLost"],
	["flow-pulse", "meterLost"],
	["motor-current", "currentLost"],
	["board", "boardLost"],
] as const satisfies ReadonlyArray<readonly [string, keyof FindingsState]>;

/** Unknown now, or lost a moment ago and not yet back for long enough to be believed. */
export function presentOf(sensed: Sensed, findings: FindingsState, permits: Permits): Present {
	const { board, stop, probe, flowLph, motorAmps } = sensed;
	const now: Record<string, number | string> = {
		board: board === 0 ? NOT_AS_DRIVEN : board,
		"stop-loop": stop,
		"bowl-probe": probe,
		"flow-pulse": flowLph,
		"motor-current": motorAmps,
	};
	const unknown = SENSORS.flatMap(([name, finding]) => {
		const value = now[name] ?? "not-fitted";
		if (isUnknown(value) || value === NOT_AS_DRIVEN) return [`${name} ${value}`];
		return findings[finding].on ? [`${name} lost just now`] : [];
	});
	return { stop, probe, unknown, strayCurrent: findings.stray.on, ...permits };
}
