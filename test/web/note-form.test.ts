// The logbook's forms without a browser: what is filled in against the schema that has the last
// word, cautions and words as the command line says them, and what the outbox keeps.

import { describe, expect, it } from "vitest";
import { CLEAR_AND_BRIGHT, type NoteKind, noteKinds, noteSchema } from "../../host/archive/note.ts";
import { fieldsOf, noteForms } from "../../host/web/logbook/note-fields.ts";
import { entryFrom, namesIn, type Values } from "../../host/web/logbook/note-form.ts";
import { noteText } from "../../host/web/logbook/note-text.ts";
import { type Keeper, Outbox, type Waiting } from "../../host/web/logbook/outbox.ts";
import { SI } from "../../host/web/units.ts";
import { en } from "../../host/web/words/en.ts";
import { cautions } from "../../host/web/words/note-cautions.ts";

const NOW = Date.UTC(2026, 10, 25);

/** Each kind filled in wholly, as it is typed. */
const typed: Readonly<Record<NoteKind, Values>> = {
	uplift: { tank: "port", litres: "1 120,5", place: "quay", batch: "A-17" },
	dose: { tank: "port", product: "biocide", label: "1 mL to 2 L", doseMl: "60" },
	sample: {
		...{ tank: "port", from: "bowl", looked: "hazy" },
		...{ clearAndBright: "no", iso4406: "18/16/13" },
	},
	drained: { drainedMl: "80", container: "red can", tank: "port" },
	waste: { wasteMl: "80", container: "red can", place: "yard", receipt: "77" },
	"element-change": { micron: "10", afterRun: "12" },
	"spare-elements": { count: "2" },
	spots: { tank: "port", spots: "fore-low, aft", run: "12" },
	"spot-map": { tank: "port", spots: "fore-low,middle" },
	engine: { standsSinceUtcMs: "2026-11-20T07:00" },
};
const shared = { atUtcMs: "2026-11-24T08:00", by: "MT", text: "calm" };

/** What the server adds before its schema sees it. */
const SERVERS: Readonly<Record<string, unknown>> = {
	rig: "R",
	id: "i",
	storeId: null,
	afterSeq: 0,
};

function shapeOf(kind: NoteKind): Record<string, unknown> {
	const option = noteSchema.options.find(({ shape }) =>
		[...shape.kind.values].some((one) => one === kind),
	);
	return option?.shape ?? {};
}

describe("a form", () => {
	it.each(noteKinds)(
		"of kind %s fills every field of the schema, and the schema takes it",
		(kind) => {
			const filled = entryFrom(kind, { ...typed[kind], ...shared }, SI, NOW);
			if ("errors" in filled) throw new Error(JSON.stringify(filled.errors));
			const { afterRun: _, ...fields } = filled.fields;
			const shape = shapeOf(kind);
			const added = Object.entries(SERVERS).filter(([name]) => name in shape);
			const note = noteSchema.parse({ ...fields, ...Object.fromEntries(added), kind });
			const names = fieldsOf(kind).map(({ name }) => name);
			const missing = Object.keys(shape).filter(
				(name) => name !== "kind" && !(name in SERVERS) && !names.includes(name),
			);
			expect(missing).toEqual([]);
			expect(noteText(note, SI)).not.toMatch(/undefined|null|NaN/);
		},
	);

	it.each(noteKinds)("of kind %s that is empty asks for each field that it needs", (kind) => {
		const filled = entryFrom(kind, {}, SI, NOW);
		const needed = noteForms[kind].filter(({ isOptional }) => isOptional !== true);
		expect("errors" in filled ? Object.keys(filled.errors) : []).toEqual(
			needed.map(({ name }) => name),
		);
	});

	it.each([
		["uplift", { litres: "x" }, "litres", en.kit.notANumber],
		["uplift", { litres: "0" }, "litres", "At least 0.01."],
		["uplift", { tank: "Port!" }, "tank", en.logbook.badName],
		["uplift", { place: "x".repeat(201) }, "place", "At most 200 characters."],
		["sample", { clearAndBright: "yes" }, "clearAndBright", en.logbook.contradicts],
		["sample", { looked: "clear" }, "clearAndBright", en.logbook.contradicts],
		["sample", { iso4406: "18-16-13" }, "iso4406", en.logbook.badCount],
		["spare-elements", { count: "1.5" }, "count", en.kit.notWhole],
		["element-change", { micron: "101" }, "micron", "At most 100."],
		["spots", { spots: "Fore low" }, "spots", en.logbook.badName],
		["engine", { standsSinceUtcMs: "2026-12-01T07:00" }, "standsSinceUtcMs", en.logbook.future],
		["engine", { standsSinceUtcMs: "soon" }, "standsSinceUtcMs", en.logbook.badTime],
	] as const)("of kind %s with %j says what is wrong with %s", (kind, change, field, why) => {
		const filled = entryFrom(kind, { ...typed[kind], ...change }, SI, NOW);
		expect("errors" in filled ? filled.errors : {}).toEqual({ [field]: why });
	});

	it("in gallons becomes litres; what was not judged is left out", () => {
		const taste = { ...SI, volume: "gallons" } as const;
		const uplift = entryFrom("uplift", { ...typed.uplift, litres: "10" }, taste, NOW);
		expect("fields" in uplift && uplift.fields.litres).toBeCloseTo(37.854, 3);
		const sample = entryFrom("sample", { ...typed.sample, clearAndBright: "none" }, SI, NOW);
		expect("fields" in sample && sample.fields.clearAndBright).toBeUndefined();
		expect(namesIn(" a, b ,,a")).toEqual(["a", "b"]);
	});
});

describe("the words", () => {
	it("of the cautions are those of the command line", () => {
		expect(en.logbook.cautions).toEqual(cautions);
		expect(en.logbook.help.sample).toBe(CLEAR_AND_BRIGHT);
	});
});

describe("the outbox", () => {
	const keeperOf = (room = Number.POSITIVE_INFINITY): Keeper & { text: string | null } => ({
		text: null,
		getItem() {
			return this.text;
		},
		setItem(_, value) {
			if (value.length > room) throw new Error("full");
			this.text = value;
		},
	});
	let ids = 0;
	const nextId = () => {
		ids += 1;
		return `id-${ids}`;
	};
	const note = (id: string): Waiting => ({
		...{ id, rig: null, kind: "drained", fields: { drainedMl: 5 }, values: { drainedMl: "5" } },
		...{ writtenMs: NOW, photo: null, isNoted: false, refused: "" },
	});

	it("keeps a form under one id until it is sent, over a reload too", () => {
		const keeper = keeperOf();
		const outbox = new Outbox(keeper, nextId);
		const draft = outbox.draft("drained");
		outbox.setDraft("drained", { ...draft, values: { drainedMl: "5" } });
		const again = new Outbox(keeper, nextId);
		expect(again.draft("drained")).toEqual({
			id: draft.id,
			values: { drainedMl: "5" },
			photo: null,
		});
		again.send(note(draft.id));
		expect(again.draft("drained").id).not.toBe(draft.id);
		expect(new Outbox(keeper, nextId).waiting).toEqual([note(draft.id)]);
	});

	it("gives a refused note back to its form, with a new id where the old one is taken", () => {
		const outbox = new Outbox(keeperOf(), nextId);
		outbox.send(note("a"));
		outbox.takeBack(note("a"), false);
		expect(outbox.waiting).toEqual([]);
		expect(outbox.draft("drained")).toMatchObject({ id: "a", values: { drainedMl: "5" } });
		outbox.takeBack(note("a"), true);
		expect(outbox.draft("drained").id).not.toBe("a");
	});

	it("follows what another window has sent, and loses nothing of its own", () => {
		const keeper = keeperOf();
		const [one, other] = [new Outbox(keeper, nextId), new Outbox(keeper, nextId)];
		one.send(note("a"));
		other.send(note("b"));
		one.drop("a");
		expect(one.waiting.map(({ id }) => id)).toEqual(["b"]);
		other.change("b", { refused: "no" });
		expect(other.waiting).toEqual([{ ...note("b"), refused: "no" }]);
	});

	it("goes on in memory where the browser keeps nothing or is full, and says so", () => {
		for (const keeper of [null, keeperOf(10)]) {
			const outbox = new Outbox(keeper, nextId);
			outbox.send(note("a"));
			expect(outbox.isKept).toBe(false);
			outbox.send(note("b"));
			expect(outbox.waiting.map(({ id }) => id)).toEqual(["a", "b"]);
		}
	});

	it.each(["{", "[]", "7", '{"drafts":null,"waiting":[]}', '{"drafts":{},"waiting":{}}'])(
		"begins empty where something else stands in its place: %s",
		(text) => {
			const keeper = keeperOf();
			keeper.text = text;
			expect(new Outbox(keeper, nextId).waiting).toEqual([]);
		},
	);
});
