// Which steps of commissioning a rig's newest log tells of: when each was last done, whether it
// passed, and since when it may be due again. What is due is the controller's to say, who knows its
// rig and parts; a log that was left behind proves nothing. Pure.

import { partRows } from "../../firmware/commission/parts.ts";
import { type Step, stepRows, steps } from "../../firmware/commission/step-rows.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { When } from "./dating.ts";
import { type RigLog, spanOf, whenOf } from "./rig-log.ts";

const DAY_MS = 86_400_000;

export interface ToldProof {
	readonly step: Step;
	readonly title: string;
	readonly passed: boolean;
	readonly when: When;
	/** Days after which it is due again; null: only after a change. */
	readonly everyDays: number | null;
	/** Why it is due as far as the log tells; null: nothing speaks against it. */
	readonly due: string | null;
}

type Proof = Extract<LogRecord, { kind: "proof" }>;

/** In the order of the catalogue. */
export function proofsOf({ stores }: RigLog, nowMs: number): ToldProof[] {
	const store = stores.at(-1);
	if (store === undefined) return [];
	const { history } = store;
	return steps.flatMap((step) => {
		const last = history.findLast((record): record is Proof => isResult(record, step));
		if (last === undefined) return [];
		const { title, everyDays } = stepRows[step];
		const when = whenOf(store, last);
		const due = dueWords(step, last, history, nowMs - spanOf(when).fromMs);
		return [{ step, title, passed: last.passed, when, everyDays, due }];
	});
}

const isResult = (record: LogRecord, step: Step): boolean =>
	record.kind === "proof" && record.step === step && record.counts;

/** @param ageMs at the most; infinite where nobody knows when it was */
function dueWords(
	step: Step,
	{ seq, passed }: Proof,
	history: readonly LogRecord[],
	ageMs: number,
): string | null {
	if (!passed) return "not passed";
	const { everyDays } = stepRows[step];
	const own: readonly string[] = stepRows[step].parts;
	const change = history.find(
		(record) => record.kind === "part-changed" && record.seq > seq && own.includes(record.part),
	);
	if (change?.kind === "part-changed") return `changed since: ${partRows[change.part].words}`;
	if (everyDays === null || ageMs <= everyDays * DAY_MS) return null;
	if (!Number.isFinite(ageMs)) return "when it passed is not known";
	return `passed ${Math.floor(ageMs / DAY_MS)} days ago, due after ${everyDays}`;
}

/** One sentence for who asks whether the boat is ready; null where the log tells of no step. */
export function proofsCaution(proofs: readonly ToldProof[]): string | null {
	if (proofs.length === 0) return null;
	const due = proofs.filter((proof) => proof.due !== null);
	const passed = proofs.length - due.length;
	const words = due.map((proof) => `${proof.step} (${proof.due})`).join("; ");
	const rest = due.length === 0 ? "" : ` Due: ${words}.`;
	const held = passed === 1 ? "step of commissioning holds" : "steps of commissioning hold";
	return (
		`Proven stops: ${passed} ${held} by this log.${rest} Steps that were never done are not in ` +
		"it. What is due now, the controller says: lees commission PORT --list."
	);
}
