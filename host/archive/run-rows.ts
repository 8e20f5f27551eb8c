// Runs and totals of a rig as the commands answer them: the rig, each tank, the element since its
// change, what ran without an order. Pure but for the tally that it asks the archive for.

import { litresOf, type Measured } from "../../firmware/calibration.ts";
import type { Tally } from "../../firmware/totals.ts";
import type { RunAnswer, TotalAnswer } from "./answers.ts";
import type { NoteOf } from "./note.ts";
import { type RigLog, runsIn, whenOf } from "./rig-log.ts";
import { less, type Part, unorderedOf } from "./runs.ts";
import { COVERAGE, type Moved, movedBy } from "./totals.ts";

/** What a run had moved by a record of its store; null where no sample tells. */
export type TallyAt = (storeId: string, seq: number) => Tally | null;

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

export const lastChange = ({ notes }: RigLog): NoteOf<"element-change"> | null =>
	notes.findLast((note) => note.kind === "element-change") ?? null;

/** A record that came after the element's change: stores that came later did as a whole. */
export function isSinceChange(
	{ stores }: RigLog,
	change: NoteOf<"element-change"> | null,
	storeId: string,
	seq: number,
): boolean {
	if (change === null) return true;
	if (storeId === change.storeId) return seq > change.afterSeq;
	const ids = stores.map((store) => store.storeId);
	return ids.indexOf(storeId) > ids.indexOf(change.storeId ?? "");
}

/** What the element has seen: of a run that was under way at its change, what came after. */
export function elementParts(rig: RigLog, tallyAt: TallyAt): { parts: Part[]; runs: number } {
	const change = lastChange(rig);
	const parts: Part[] = [];
	for (const { store, run } of runsIn(rig)) {
		const { storeId } = store;
		if (isSinceChange(rig, change, storeId, run.begin.seq)) parts.push(run);
		else if (change !== null && (run.end === null || run.end.seq > change.afterSeq)) {
			if (storeId !== change.storeId) continue;
			const before = tallyAt(storeId, change.afterSeq);
			if (before !== null) parts.push({ ...run, tally: less(run.tally, before) });
		}
	}
	const runs = parts.length;
	for (const { storeId, history } of rig.stores) {
		if (storeId === change?.storeId) parts.push(...unorderedOf(history, change.afterSeq));
		else if (isSinceChange(rig, change, storeId, 1)) parts.push(...unorderedOf(history));
	}
	return { parts, runs };
}

/** Litres by the meter, without what they may be off. */
export const litresIn = (parts: readonly Part[]): number =>
	parts.reduce(
		(sum, { boot, tally }) =>
			sum + (boot === null ? 0 : litresOf(tally.pulses, boot.meter.pulsesPerLitre)),
		0,
	);

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
