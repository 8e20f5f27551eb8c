// What the link tells of commissioning: the steps and what is due, the trial under way, the fills.
// Made from the controller's state, nothing decided by it. Each answer must fit a frame. Pure.

import { cutTo } from "../frame-text.ts";
import type { Sensed } from "../sense/sensed.ts";
import type { Commission } from "./commission.ts";
import { dueAt, passedText } from "./evidence.ts";
import { counting, factorOf, oddFill, perLitreOf } from "./fills.ts";
import { wayOf } from "./kinds.ts";
import type { ProvingPlan } from "./plan.ts";
import { type FillList, PROOF_ROWS_MAX, type ProofList, type ProofNow } from "./schemas.ts";
import { PATIENCE_MS, PRESS_MS } from "./steps.ts";
import { rounded, type Trial, type Values } from "./trial.ts";

const DUE_BYTES = 70;
const ID_BYTES = 64;
const SAY_BYTES = 200;
const REASON_BYTES = 100;
const REASONS_MAX = 3;
const VALUE_BYTES = 24;
const VALUES_MAX = 10;

export function proofList(
	plan: ProvingPlan,
	{ evidence }: Commission,
	local: number | null,
	from: number,
): ProofList {
	const due = plan.steps.map((_, place) => dueAt(plan, evidence, place, local));
	const rows = plan.steps.map((step, place) => {
		const why = due[place] ?? null;
		const passedAt = passedText(evidence, place);
		return { step, due: why === null ? null : cutTo(why, DUE_BYTES), passedAt };
	});
	return {
		rows: rows.slice(from, from + PROOF_ROWS_MAX),
		total: rows.length,
		dueCount: due.filter((why) => why !== null).length,
	};
}

/** @param sensed by the last tick; null before the first */
export function proofNow(
	{ trial, last }: Commission,
	sensed: Sensed | null,
	nowMs: number,
): ProofNow {
	if (trial !== null) return { trial: trialNow(trial, sensed, nowMs), last: null };
	if (last === null) return { trial: null, last };
	const reasons = last.reasons.slice(0, REASONS_MAX).map((why) => cutTo(why, REASON_BYTES));
	return { trial, last: { ...last, reasons, values: shortened(last.values) } };
}

function trialNow(trial: Trial, sensed: Sensed | null, nowMs: number): ProofNow["trial"] {
	const { step, id, work, activeMs } = trial;
	const head = { step, id: cutTo(id, ID_BYTES) };
	const left = (ms: number) => Math.max(0, Math.ceil((activeMs + ms - nowMs) / 1000));
	if (work === null) {
		const say = "Press the box's button, so that somebody stands at the rig.";
		return { ...head, asks: "press", say, entries: [], seen: {}, leftSeconds: left(PRESS_MS) };
	}
	const { kind, goes } = wayOf(step);
	const asks = kind.asks(goes, work);
	const entries = asks === "answer" ? kind.entries(goes).map(({ name }) => name) : [];
	const seen = sensed === null ? {} : shortened(kind.seen(goes, work, sensed));
	const say = cutTo(kind.say(goes, work), SAY_BYTES);
	return { ...head, asks, say, entries, seen, leftSeconds: left(PATIENCE_MS) };
}

const shortened = (values: Values): Record<string, number | string> =>
	Object.fromEntries(
		Object.entries(values)
			.slice(0, VALUES_MAX)
			.map(([name, value]) => [
				name,
				typeof value === "string" ? cutTo(value, VALUE_BYTES) : value,
			]),
	);

export function fillList({ evidence }: Commission): FillList {
	const { fills } = evidence;
	const counted = counting(fills);
	const odd = oddFill(counted);
	const factor = factorOf(counted);
	const share = (value: { value: number; uncertainty: number } | undefined) =>
		value === undefined ? null : rounded((100 * value.uncertainty) / value.value, 3);
	return {
		fills: fills.map((fill) => ({
			fillSeq: fill.seq,
			pulses: fill.pulses,
			litres: rounded(fill.litres, 3),
			seconds: rounded(fill.seconds, 1),
			perLitre: rounded(perLitreOf(fill), 2),
			struck: fill.struck,
			odd: fill === odd,
		})),
		perLitre: factor === null ? null : rounded(factor.perLitre.value, 2),
		uncertaintyPct: share(factor?.perLitre),
		pumpLph: factor === null ? null : rounded(factor.pumpLph.value, 1),
		pumpPct: share(factor?.pumpLph),
	};
}
