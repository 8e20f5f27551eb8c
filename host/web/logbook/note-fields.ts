// The forms of the logbook as data: which fields each kind of note has, in which order, and what
// may be left out. The schemas of host/archive/note.ts have the last word; a test holds the two
// together. Types and tables alone.

import type { NoteKind } from "../../archive/note.ts";
import type { Words } from "../words/words.ts";

type Said = Words["logbook"];
export type FieldLabel = keyof Said["fields"];
export type HintName = keyof Said["hints"];

/** What a field is filled in with. */
export type FieldKind =
	| "tank"
	| "container"
	| "litres"
	| "ml"
	| "microns"
	| "whole"
	| "line"
	| "words"
	| "initials"
	| "lab"
	| "from"
	| "looked"
	| "judged"
	| "run"
	| "spots"
	| "done"
	| "time";

export interface NoteField {
	/** As the note has it. */
	readonly name: string;
	readonly kind: FieldKind;
	readonly label: FieldLabel;
	readonly hint?: HintName;
	readonly isOptional?: boolean;
}

const needed = (name: FieldLabel, kind: FieldKind, more: Partial<NoteField> = {}): NoteField => ({
	name,
	kind,
	label: name,
	...more,
});
const optional = (name: FieldLabel, kind: FieldKind, more: Partial<NoteField> = {}): NoteField =>
	needed(name, kind, { isOptional: true, ...more });
const tank = needed("tank", "tank");

/** In the order in which the page offers them. */
export const noteForms: Readonly<Record<NoteKind, readonly NoteField[]>> = {
	uplift: [tank, needed("litres", "litres"), optional("place", "line"), optional("batch", "line")],
	dose: [
		tank,
		needed("product", "line"),
		needed("label", "line", { hint: "label" }),
		needed("doseMl", "ml"),
	],
	sample: [
		tank,
		needed("from", "from"),
		needed("looked", "looked"),
		needed("clearAndBright", "judged"),
		optional("iso4406", "lab", { hint: "iso4406" }),
	],
	drained: [needed("drainedMl", "ml"), needed("container", "container"), optional("tank", "tank")],
	waste: [
		needed("wasteMl", "ml"),
		needed("container", "container"),
		optional("place", "line", { label: "facility", hint: "facility" }),
		optional("receipt", "line"),
	],
	"element-change": [
		needed("micron", "microns"),
		optional("afterRun", "run", { hint: "afterRun" }),
	],
	"spare-elements": [needed("count", "whole")],
	spots: [
		tank,
		needed("spots", "done", { label: "done" }),
		optional("run", "run", { hint: "run" }),
	],
	"spot-map": [tank, needed("spots", "spots", { hint: "spots" })],
	engine: [needed("standsSinceUtcMs", "time")],
};

/** What every note may say. */
const sharedFields: readonly NoteField[] = [
	optional("atUtcMs", "time", { hint: "atUtcMs" }),
	optional("by", "initials"),
	optional("text", "words"),
];

export const kinds = Object.keys(noteForms) as NoteKind[];

/** Kinds with which a photo helps. */
export const withPhoto: ReadonlySet<NoteKind> = new Set(["sample", "drained", "element-change"]);

export const fieldsOf = (kind: NoteKind): readonly NoteField[] => [
	...noteForms[kind],
	...sharedFields,
];
