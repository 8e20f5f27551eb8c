// A note of the list in words and in the reader's units, as one line. Pure; imports the catalogue
// and the units.

import type { Note } from "../../archive/note.ts";
import { measure, type Taste } from "../units.ts";
import { words } from "../words/words.ts";
import { localText } from "./local-text.ts";
import { logbookWords } from "./logbook-words.ts";

export function noteText(note: Note, taste: Taste): string {
	return partsOf(note, taste)
		.filter((part) => part !== null)
		.join(", ");
}

type Parts = ReadonlyArray<string | null>;
/** A part that may be missing. */
const maybe = <T>(value: T | null, text: (value: T) => string) =>
	value === null ? null : text(value);

function partsOf(note: Note, taste: Taste): Parts {
	const { list, froms, looks } = logbookWords();
	const { microns, withUnit } = { ...words().kit.units, withUnit: words().kit.withUnit };
	const ml = (stored: number) => measure("small", stored, taste);
	const asItIs = (text: string) => text;
	switch (note.kind) {
		case "uplift": {
			const what = list.into(measure("volume", note.litres, taste), note.tank);
			return [what, maybe(note.place, asItIs), maybe(note.batch, list.batch)];
		}
		case "dose": {
			const what = list.ofProduct(ml(note.doseMl), note.product);
			return [list.into(what, note.tank), maybe(note.label, list.label)];
		}
		case "sample": {
			const judged = maybe(note.clearAndBright, (is) => (is ? list.bright : list.notBright));
			const looked = [looks[note.looked], judged, maybe(note.iso4406, list.lab)];
			return [note.tank, froms[note.from], ...looked];
		}
		case "element-change":
			return [withUnit(String(note.micron), microns)];
		case "drained": {
			const what = maybe(note.tank, (tank) => list.fromTank(ml(note.drainedMl), tank));
			return [
				maybe(note.container, (into) => list.into(what ?? ml(note.drainedMl), into)) ??
					what ??
					ml(note.drainedMl),
			];
		}
		case "spare-elements":
			return [list.pieces(String(note.count))];
		case "waste": {
			const where = note.place === null ? list.aboard : list.handedIn(note.place);
			return [
				list.into(ml(note.wasteMl), note.container),
				where,
				maybe(note.receipt, list.receipt),
			];
		}
		case "spot-map":
			return [note.tank, ...note.spots];
		case "spots":
			return [note.tank, ...note.spots, maybe(note.run, (run) => list.inRun(String(run)))];
		case "engine":
			return [list.since(localText(note.standsSinceUtcMs))];
	}
}
