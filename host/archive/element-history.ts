// Every element that the notes tell of, first to last, with what each has seen between its change
// and the next: a change begins new totals and takes nothing from the old ones. Pure but for the
// tally asked for.

import type { LogRecord } from "../../firmware/log/record.ts";
import type { PastElementAnswer } from "./answers.ts";
import type { NoteOf } from "./note.ts";
import { type RigLog, runsIn } from "./rig-log.ts";
import { isSinceChange, movedFields, type TallyAt } from "./run-rows.ts";
import { less, type Part, unorderedOf } from "./runs.ts";
import { movedBy } from "./totals.ts";

type Change = NoteOf<"element-change">;

/** The first may be one that was there when the log began: then nobody noted its rating. */
export function elementHistory(rig: RigLog, tallyAt: TallyAt): PastElementAnswer[] {
	const changes = rig.notes.filter((note): note is Change => note.kind === "element-change");
	const begins: Array<Change | null> = [null, ...changes];
	const rows = begins.map((change, i) => {
		const next = changes[i] ?? null;
		const { parts, runs } = partsBetween(rig, change, next, tallyAt);
		return {
			rig: rig.rig,
			micron: change?.micron ?? null,
			changed: change?.atUtcMs ?? null,
			until: next?.atUtcMs ?? null,
			runs,
			...movedFields(movedBy(parts)),
			lastKpa: lastKpa(rig, change, next),
		};
	});
	// Where the first change was noted before the first run, nothing was before it.
	const [first, ...others] = rows;
	return first !== undefined && others.length > 0 && first.motorHours === 0 ? others : rows;
}

/** A record of the span: after the change, and up to the next. */
const isBetween = (
	rig: RigLog,
	change: Change | null,
	next: Change | null,
	storeId: string,
	seq: number,
): boolean =>
	isSinceChange(rig, change, storeId, seq) &&
	(next === null || !isSinceChange(rig, next, storeId, seq));

/** A run that was under way at a change is divided there, as far as a sample tells. */
function partsBetween(rig: RigLog, change: Change | null, next: Change | null, tallyAt: TallyAt) {
	const parts: Part[] = [];
	for (const { store, run } of runsIn(rig)) {
		const { storeId } = store;
		if (!isSinceChange(rig, change, storeId, lastSeq(run.end?.seq))) continue;
		if (next !== null && isSinceChange(rig, next, storeId, run.begin.seq)) continue;
		const beganBefore = !isSinceChange(rig, change, storeId, run.begin.seq);
		const from = beganBefore && change !== null ? tallyAt(storeId, change.afterSeq) : null;
		const goesOn = next !== null && isSinceChange(rig, next, storeId, lastSeq(run.end?.seq));
		const to = goesOn && next !== null ? tallyAt(storeId, next.afterSeq) : run.tally;
		if (to === null || (beganBefore && from === null)) continue;
		parts.push({ ...run, tally: from === null ? to : less(to, from) });
	}
	const runs = parts.length;
	for (const { storeId, history } of rig.stores) {
		const afterSeq = storeId === change?.storeId ? change.afterSeq : 0;
		if (storeId !== change?.storeId && !isSinceChange(rig, change, storeId, 1)) continue;
		if (next !== null && storeId !== next.storeId && isSinceChange(rig, next, storeId, 1)) continue;
		const toSeq = storeId === next?.storeId ? next.afterSeq : Number.POSITIVE_INFINITY;
		parts.push(...unorderedOf(untilSeq(history, toSeq), afterSeq));
	}
	return { parts, runs };
}

const lastSeq = (seq: number | undefined): number => seq ?? Number.POSITIVE_INFINITY;

const untilSeq = (history: readonly LogRecord[], toSeq: number): readonly LogRecord[] =>
	history.filter(({ seq }) => seq <= toSeq);

/** The last that was told of its restriction, at free flow and 15 °C; null: nothing was. */
function lastKpa(rig: RigLog, change: Change | null, next: Change | null): number | null {
	const told = rig.stores.flatMap(({ storeId, history }) =>
		history.flatMap((record) =>
			record.kind === "restriction" && isBetween(rig, change, next, storeId, record.seq)
				? [record.fit.kpa]
				: [],
		),
	);
	return told.at(-1) ?? null;
}
