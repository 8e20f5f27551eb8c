// Runs and totals of a rig as the commands answer them: the rig, each tank, the element since its
// change, what ran without an order. Pure but for the tally that it asks the archive for.

import type { Measured } from "../../firmware/calibration.ts";
import type { RunAnswer, TotalAnswer } from "./answers.ts";
import { elementSpans, partsOf, type TallyAt } from "./element-spans.ts";
import { type RigLog, runsIn, whenOf } from "./rig-log.ts";
import { type Part, unorderedOf } from "./runs.ts";
import { COVERAGE, type Moved, movedBy } from "./totals.ts";

export function runRows(rig: RigLog): RunAnswer[] {
	return runsIn(rig).map(({ store, run }) => {
		const { begin, end, order, outcome, trips } = run;
		const { work, tank, toTank, goalLitres, goalHours, goalShare, attended } = order;
		return {
			rig: rig.rig,
			storeId: store.storeId,
			run: begin.seq,
			boot: begin.boot,
			bootMs: begin.monoMs,
			began: whenOf(store, begin),
			ended: end === null ? null : whenOf(store, end),
			work,
			tank,
			toTank,
			goalLitres,
			goalHours,
			goalShare,
			isAttended: attended,
			outcome,
			trips: [...trips],
			...movedFields(movedBy([run])),
		};
	});
}

/** Tanks by name, what nobody ordered, the element, and last the rig: the sum of all but that. */
export function totalRows(rig: RigLog, tallyAt: TallyAt): TotalAnswer[] {
	const runs = runsIn(rig).map(({ run }) => run);
	const unordered = rig.stores.flatMap(({ history }) => unorderedOf(history));
	const row = (of: TotalAnswer["of"], name: string, parts: readonly Part[], count: number) => ({
		rig: rig.rig,
		of,
		name,
		runs: count,
		...movedFields(movedBy(parts)),
	});
	const tanks = [...new Set(runs.map(({ order }) => order.tank))].sort();
	const rows = tanks.map((tank) => {
		const own = runs.filter(({ order }) => order.tank === tank);
		return row("tank", tank, own, own.length);
	});
	if (unordered.length > 0) rows.push(row("no order", "no order", unordered, 0));
	const element = elementParts(rig, tallyAt);
	rows.push(row("element", "element", element.parts, element.runs));
	rows.push(row("rig", "rig", [...runs, ...unordered], runs.length));
	return rows;
}

/** What the element in use has seen: of a run that was under way at its change, what came after. */
export function elementParts(rig: RigLog, tallyAt: TallyAt): { parts: Part[]; runs: number } {
	const span = elementSpans(rig, tallyAt).at(-1);
	return { parts: span === undefined ? [] : partsOf(span), runs: span?.pieces.length ?? 0 };
}

export function movedFields({ hours, meterLitres, hoursLitres, differencePct, isWithin }: Moved) {
	return {
		motorHours: hours.value,
		motorHoursUncertainty: expanded(hours),
		litres: meterLitres.value,
		litresUncertainty: expanded(meterLitres),
		litresByHours: hoursLitres?.value ?? null,
		litresByHoursUncertainty: hoursLitres === null ? null : expanded(hoursLitres),
		differencePct,
		isWithin,
	};
}

const expanded = ({ uncertainty }: Measured): number => COVERAGE * uncertainty;
