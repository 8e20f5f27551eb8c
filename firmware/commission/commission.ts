// What is kept of commissioning between ticks, and how it begins at boot: evidence comes from the
// log, no trial goes on, and one that the last boot did not end has failed. Pure, plain JSON.

import type { StateName } from "../cycle/effects.ts";
import type { RecordBody } from "../log/record.ts";
import {
	type Evidence,
	isAllProven,
	noEvidence,
	type ProofRecord,
	withRecord,
} from "./evidence.ts";
import { wayOf } from "./kinds.ts";
import type { ProvingPlan } from "./plan.ts";
import { type Step, stepWays } from "./step-ways.ts";
import type { Trial, Values } from "./trial.ts";

/** How often it is looked whether a step has become due by time alone, ms. */
export const CHECK_MS = 60_000;

/** Why what was given up tells of the rig all the same. */
export const TRIED = "as far as it had come this counts as failed";

export interface Ended {
	readonly step: Step;
	readonly passed: boolean;
	readonly reasons: readonly string[];
	readonly values: Values;
}

export interface Commission {
	readonly evidence: Evidence;
	/** No step was due when it was looked last. */
	readonly isProven: boolean;
	readonly checkDueMs: number;
	readonly trial: Trial | null;
	/** The trial that ended last in this boot. */
	readonly last: Ended | null;
	/** How often a lamp or the horn was shown last. */
	readonly shown: number;
	/** The beat stands still until the run that is under way has ended. */
	readonly holdsBeat: boolean;
}

/**
 * What is written of a step that the last boot did not end. It has failed: whoever finds that the
 * pump goes on throws the isolator, and how far the step had come nobody knows any more.
 */
export function cutShort(
	plan: ProvingPlan,
	begun: { readonly id: string; readonly step: Step; readonly by: string } | null,
): RecordBody | null {
	if (begun === null) return null;
	const { id, step, by } = begun;
	const { kind } = stepWays[step].goes;
	const counts = kind !== "told" && kind !== "fills";
	const why = "the controller was started anew in the middle";
	const reasons = counts ? [why, TRIED] : [why];
	const told = { id, step, passed: false, counts, reasons, values: {} };
	const marks = plan.marks[plan.places[step] ?? -1] ?? "";
	return { kind: "proof", ...told, marks, by, localTime: null, endedBy: "restart" };
}

/**
 * At boot no time is known, and no trial goes on.
 * @param ended by `cutShort`
 */
export function commissionAtBoot(
	plan: ProvingPlan,
	records: readonly ProofRecord[],
	ended: RecordBody | null,
	nowMs: number,
): Commission {
	const recovered = records.reduce(
		(before, record) => withRecord(plan, before, record, record.seq),
		noEvidence(plan),
	);
	const evidence = ended === null ? recovered : withRecord(plan, recovered, ended, 0);
	return {
		evidence,
		isProven: isAllProven(plan, evidence, null),
		checkDueMs: nowMs + CHECK_MS,
		trial: null,
		last: null,
		shown: 0,
		holdsBeat: false,
	};
}

/** A trial at rest that wants no order: nobody else may have the pump meanwhile. */
export function isCommissioning({ trial }: Commission, name: StateName): boolean {
	if (trial === null || name !== "idle") return false;
	if (trial.work === null) return true;
	const { kind, goes } = wayOf(trial.step);
	return kind.asks(goes, trial.work) !== "order";
}
