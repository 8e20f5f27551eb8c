// The conditions of one tick, gathered only when something asks to start the pump: most ticks ask
// nothing and pay nothing.

import type { Present } from "../cycle/events.ts";
import type { FindingName } from "./finding-names.ts";
import { type FindingsPlan, type FindingsState, holdsIn, isFound } from "./findings.ts";
import { isUnknown } from "./quantity.ts";
import type { Sensed } from "./sensed.ts";

/** What the cycle needs beside what is sensed. */
export type Permits = Pick<
	Present,
	"logFailed" | "commissioned" | "arming" | "attended" | "gaps" | "quiet"
>;

/** Unknown now, or lost and not yet back for long enough to be believed. */
export function presentOf(
	plan: FindingsPlan,
	sensed: Sensed,
	findings: FindingsState,
	permits: Permits,
): Present {
	const unknown: string[] = boardWords(plan, sensed, findings);
	const unknownOptional: string[] = [];
	const seen: FindingName[] = [];
	const blockers: string[] = [];
	for (const [name, { loses, blocks }, place] of plan.rows) {
		const found = findings[place]?.on === true;
		if (found) seen.push(name);
		if (found && blocks !== undefined) blockers.push(blocks);
		if (loses === undefined) continue;
		const value = loses.value(sensed);
		const isNow = isUnknown(value);
		// One bad sample of a sensor that only guards what nobody attends ends no night's work.
		if (!found && !(isNow && loses.always)) continue;
		const words = `${loses.sensor} ${isNow ? value : "not believed yet"}`;
		(loses.always ? unknown : unknownOptional).push(words);
	}
	const { stop, probe, levelFrom, levelTo } = sensed;
	const holds = holdsIn(plan, findings);
	const depths = { levelFrom, levelTo };
	return { stop, probe, unknown, unknownOptional, seen, blockers, holds, depths, ...permits };
}

function boardWords(plan: FindingsPlan, { board }: Sensed, findings: FindingsState): string[] {
	if (board === 0) return ["board not as driven"];
	if (isUnknown(board)) return [`board ${board}`];
	return isFound(plan, findings, "boardLost") ? ["board not believed yet"] : [];
}
