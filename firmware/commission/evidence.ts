// What is proven of a rig, as the records of its log tell: when each step passed last, what has
// spoilt that since, and the fills of the measuring can. A step is due while it has never passed,
// after its parts changed or it failed, and when its days are over. Pure, plain JSON.

import { DAY_MS, dateTimeMs, dateTimeText } from "../local-time.ts";
import type { LogRecord, RecordBody } from "../log/record.ts";
import { partRows } from "./parts.ts";
import type { ProvingPlan } from "./plan.ts";
import { FILLS_MAX } from "./schemas.ts";
import { stepWays } from "./step-ways.ts";
import type { StepWay } from "./steps.ts";

const MINUTE_MS = 60_000;

export interface Fill {
	readonly seq: number;
	readonly pulses: number;
	readonly litres: number;
	readonly litresUncertainty: number;
	readonly seconds: number;
	readonly struck: boolean;
	/** The step has passed by it: the next one asks for fills of its own. */
	readonly used: boolean;
}

/** Lists go by the step's place among the rig's. */
export interface Evidence {
	/** Local time when it last passed, min since 1970; 0 where nobody knew it; null: never. */
	readonly passedMin: ReadonlyArray<number | null>;
	/** Why it is due at any time; null while nothing has spoilt it. */
	readonly spoilt: ReadonlyArray<string | null>;
	/** The newest, oldest first. */
	readonly fills: readonly Fill[];
}

export const noEvidence = ({ steps }: ProvingPlan): Evidence => ({
	passedMin: steps.map(() => null),
	spoilt: steps.map(() => null),
	fills: [],
});

const kinds = ["proof", "fill", "fill-struck", "part-changed"] as const;
export type ProofRecord = Extract<LogRecord, { kind: (typeof kinds)[number] }>;

export const isProofRecord = (record: LogRecord): record is ProofRecord =>
	(kinds as readonly string[]).includes(record.kind);

/** The evidence with one more record; the same object where it says nothing of it. */
export function withRecord(
	plan: ProvingPlan,
	before: Evidence,
	record: RecordBody,
	seq: number,
): Evidence {
	switch (record.kind) {
		case "proof":
			return withProof(plan, before, record);
		case "part-changed":
			return withChange(plan, before, record.part);
		case "fill": {
			const { pulses, litres, litresUncertainty, seconds } = record;
			const fill = { seq, pulses, litres, litresUncertainty, seconds, struck: false, used: false };
			return { ...before, fills: [...before.fills, fill].slice(-FILLS_MAX) };
		}
		case "fill-struck": {
			const strike = (fill: Fill) =>
				fill.seq === record.fillSeq ? { ...fill, struck: true } : fill;
			return { ...before, fills: before.fills.map(strike) };
		}
		default:
			return before;
	}
}

function withProof(
	plan: ProvingPlan,
	before: Evidence,
	{ step, passed, counts, marks, localTime }: Extract<RecordBody, { kind: "proof" }>,
): Evidence {
	const place = plan.places[step];
	if (place === undefined || !counts) return before;
	if (!passed) {
		if (before.passedMin[place] === null) return before;
		return { ...before, spoilt: before.spoilt.with(place, "it did not pass the last time") };
	}
	const passedMin = localTime === null ? 0 : Math.floor(dateTimeMs(localTime) / MINUTE_MS);
	const isSame = marks === plan.marks[place];
	const uses = stepWays[step].goes.kind === "fills";
	return {
		passedMin: before.passedMin.with(place, passedMin),
		spoilt: before.spoilt.with(place, isSame ? null : "rig file or pin map is another one"),
		fills: uses ? before.fills.map((fill) => ({ ...fill, used: true })) : before.fills,
	};
}

function withChange(
	plan: ProvingPlan,
	before: Evidence,
	part: Extract<RecordBody, { kind: "part-changed" }>["part"],
): Evidence {
	const why = `changed: ${partRows[part].words}`;
	const spoilt = before.spoilt.map((was, place) => {
		const isIts = partsAt(plan, place).includes(part);
		return isIts && before.passedMin[place] !== null ? why : was;
	});
	return { ...before, spoilt, fills: part === "meter" ? [] : before.fills };
}

/** Whether the change of a part would make anything due that is not. */
export function isSpoiling(plan: ProvingPlan, evidence: Evidence, part: string): boolean {
	if (part === "meter" && evidence.fills.length > 0) return true;
	return plan.steps.some(
		(_, place) =>
			(partsAt(plan, place) as readonly string[]).includes(part) &&
			evidence.passedMin[place] !== null &&
			evidence.spoilt[place] === null,
	);
}

function partsAt({ steps }: ProvingPlan, place: number): StepWay["parts"] {
	const step = steps[place];
	return step === undefined ? [] : stepWays[step].parts;
}

/** A clock that is set anew may be off by a zone or two, min. */
const BACK_MIN_MAX = (DAY_MS / MINUTE_MS) * 1.5;

/**
 * Why the step at that place is due; null while it holds.
 * @param local time, ms; null while it is unknown
 */
export function dueAt(
	plan: ProvingPlan,
	evidence: Evidence,
	place: number,
	local: number | null,
): string | null {
	const step = plan.steps[place];
	const passedMin = evidence.passedMin[place] ?? null;
	if (step === undefined || passedMin === null) return "never passed";
	const spoilt = evidence.spoilt[place] ?? null;
	const { everyDays } = stepWays[step];
	if (spoilt !== null || everyDays === null) return spoilt;
	if (local === null) return "the time is unknown";
	if (passedMin === 0) return "nobody knows when it passed";
	const ageMin = local / MINUTE_MS - passedMin;
	if (ageMin < -BACK_MIN_MAX) return "the clock stands before the day on which it passed";
	return ageMin * MINUTE_MS >= everyDays * DAY_MS ? `its ${everyDays} days are over` : null;
}

/** No step of the rig is due. */
export function isAllProven(plan: ProvingPlan, evidence: Evidence, local: number | null): boolean {
	for (let place = 0; place < plan.steps.length; place += 1) {
		if (dueAt(plan, evidence, place, local) !== null) return false;
	}
	return true;
}

/** As the link tells it; null: never, or nobody knows. */
export function passedText({ passedMin }: Evidence, place: number): string | null {
	const min = passedMin[place] ?? 0;
	return min === 0 ? null : dateTimeText(min * MINUTE_MS);
}
