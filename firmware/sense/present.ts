// The conditions of one tick, gathered only when something asks to start the pump: most ticks ask
// nothing and pay nothing.

import type { Present } from "../cycle/events.ts";
import type { FindingsState } from "./findings.ts";
import type { Sensed } from "./sensed.ts";

type Permits = Pick<Present, "logFailed" | "commissioned" | "armed">;

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
	const now: Record<string, string> = {
		board: board === 1 ? "" : board === 0 ? "not as driven" : String(board),
		"stop-loop": stop === "made" || stop === "broken" ? "" : stop,
		"bowl-probe": probe === "wet" || probe === "dry" ? "" : probe,
		"flow-pulse": typeof flowLph === "number" ? "" : flowLph,
		"motor-current": typeof motorAmps === "number" ? "" : motorAmps,
	};
	const unknown = SENSORS.flatMap(([name, finding]) => {
		const why = now[name] ?? "";
		if (why !== "") return [`${name} ${why}`];
		return findings[finding].on ? [`${name} lost just now`] : [];
	});
	return { stop, probe, unknown, strayCurrent: findings.stray.on, ...permits };
}
