// The waste ledger: what was drained, in which container it stands, what was handed in, where and
// with which receipt, and what is still aboard. Pure.
//
// What was drained is water-caught.ts's business, so that a drain that was told to the box and
// noted as well counts once here too. A container holds what was drained, so that a drain and a
// waste note of the same water would count twice: what was drained without a word of its container
// is taken as being in the containers that waste notes tell of, and only what is more than those
// stands apart.

import type { NoteKind, NoteOf } from "./note.ts";
import type { WasteLedger } from "./note-answers.ts";
import type { RigLog } from "./rig-log.ts";
import { drainsOf } from "./water-caught.ts";

export function wasteLedger(rig: RigLog): WasteLedger {
	const { notes } = rig;
	const of = <K extends NoteKind>(kind: K) =>
		notes.filter((note): note is NoteOf<K> => note.kind === kind);
	const drainedMl = sum(drainsOf(rig).map(({ waterMl }) => waterMl));
	const filled = [
		...of("drained").map(({ container, drainedMl: ml }) => ({ container, ml })),
		...of("waste").map(({ container, place, wasteMl: ml }) => ({
			container: place === null ? container : null,
			ml,
		})),
	];
	const handed = of("waste").flatMap(({ place, ...note }): WasteLedger["handed"] => {
		const { id, atUtcMs, wasteMl, container, receipt } = note;
		return place === null ? [] : [{ id, atUtcMs, wasteMl, container, place, receipt }];
	});
	const names = [...filled, ...handed].flatMap(({ container }) => container ?? []);
	const containers = [...new Set(names)].sort().map((container) => {
		const filledMl = sum(filled.filter((row) => row.container === container).map(({ ml }) => ml));
		const given = handed.filter((row) => row.container === container);
		const handedMl = sum(given.map(({ wasteMl }) => wasteMl));
		return { container, filledMl, handedMl, aboardMl: Math.max(0, filledMl - handedMl) };
	});
	const containedMl = sum(containers.map(({ filledMl }) => filledMl));
	const handedMl = sum(handed.map(({ wasteMl }) => wasteMl));
	const standingMl = sum(containers.map(({ aboardMl }) => aboardMl));
	// More was handed in of one container than was noted of it: the others stand aboard all the same.
	const aboardMl = Math.max(Math.max(drainedMl, containedMl) - handedMl, standingMl);
	const looseMl = aboardMl - standingMl;
	return { drainedMl, containedMl, handedMl, aboardMl, looseMl, containers, handed };
}

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
