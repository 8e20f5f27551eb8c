// A YAML text checked by a zod schema, with every complaint placed at its line and column.
// Pure: text in, value or InputError out; browser and controller use the same reader.

import { isMap, isNode, isPair, LineCounter, parseDocument } from "yaml";
import type { z } from "zod";
import { InputError, messageOf, type Problem } from "./input-error.ts";
import { allowedAt, branchMeant, didYouMean, keysAt, shapesAt, show } from "./schema-words.ts";

const BROKEN_SHOWN = 5;
/** What would have been YAML, for the commonest slips. */
const yamlWords: Readonly<Record<string, string>> = {
	TAB_AS_INDENT: "blanks to indent, and no tabs",
	BLOCK_AS_IMPLICIT_KEY: "a key once a line; quotes round a text that has a colon in it",
};

export type Path = ReadonlyArray<string | number>;

/** A checked document that can still say where a value stood. */
export interface Checked<T> {
	readonly value: T;
	/** A problem at `path`, for checks that need more than one value. */
	problem(path: Path, allowed: string): Problem;
}

/**
 * Reads `text` as YAML 1.2 and checks it by `schema`.
 * @param file the name used in messages
 * @throws InputError with every problem found
 */
export function readDocument<S extends z.ZodType>(
	text: string,
	file: string,
	schema: S,
): Checked<z.infer<S>> {
	const lines = new LineCounter();
	const options = { lineCounter: lines, prettyErrors: false, logLevel: "error" } as const;
	const doc = parseDocument(text, options);
	const at = (offset: number) => {
		const { line, col } = lines.linePos(offset);
		return { line, column: col };
	};
	// A text that is not YAML at all has an error a character: the first ones tell it. A tab breaks
	// what comes after it as well.
	const tabs = doc.errors.filter(({ code }) => code === "TAB_AS_INDENT");
	const broken = (tabs.length > 0 ? tabs : doc.errors).slice(0, BROKEN_SHOWN).map((error) => ({
		file,
		...at(error.pos[0]),
		found: `broken YAML (${error.message})`,
		allowed: yamlWords[error.code] ?? "a YAML mapping, each key once",
	}));
	if (broken.length > 0) throw new InputError(broken);

	const raw = plain(doc, file);
	const locate = (path: Path) => at(offsetOf(doc.contents, path));
	const problem = (path: Path, allowed: string): Problem => ({
		file,
		...locate(path),
		key: keyText(path),
		found: show(valueAt(raw, path)),
		allowed,
	});

	const checked = schema.safeParse(raw);
	if (checked.success) return { value: checked.data, problem };
	const explain = (issue: z.core.$ZodIssue, base: Path): Problem[] => {
		const own = issue.path.map((part) => (typeof part === "symbol" ? String(part) : part));
		const path = [...base, ...own];
		if (issue.code === "unrecognized_keys") {
			const known = keysAt(schema, path);
			return issue.keys.map((key) => ({
				file,
				...locate([...path, key]),
				key: keyText([...path, key]),
				found: "an unknown key",
				allowed: didYouMean(key, known),
			}));
		}
		if (issue.code === "invalid_union") {
			const meant = branchMeant(issue, valueAt(raw, path));
			if (meant !== null) return meant.flatMap((inner) => explain(inner, path));
			const shapes = shapesAt(schema, path);
			if (shapes !== null) return [problem(path, shapes)];
		}
		return [problem(path, allowedAt(issue, valueAt(raw, path)))];
	};
	const problems = checked.error.issues.flatMap((issue) => explain(issue, []));
	throw new InputError(problems);
}

function plain(doc: ReturnType<typeof parseDocument>, file: string): unknown {
	try {
		return doc.toJS();
	} catch (error) {
		const why = messageOf(error);
		throw new InputError([{ file, line: 1, found: `broken YAML (${why})`, allowed: "plain YAML" }]);
	}
}

/** Offset of the key (or list entry) at `path`, or of the nearest thing above it that exists. */
function offsetOf(node: unknown, path: Path): number {
	let here = node;
	let offset = isNode(here) ? (here.range?.[0] ?? 0) : 0;
	for (const part of path) {
		if (isMap(here)) {
			const pair = here.items.find((item) => String(item.key) === String(part));
			if (!isPair(pair)) return offset;
			if (isNode(pair.key)) offset = pair.key.range?.[0] ?? offset;
			here = pair.value;
		} else if (isNode(here) && "items" in here && typeof part === "number") {
			here = here.items[part];
			if (!isNode(here)) return offset;
			offset = here.range?.[0] ?? offset;
		} else {
			return offset;
		}
	}
	return offset;
}

function valueAt(raw: unknown, path: Path): unknown {
	let here = raw;
	for (const part of path) {
		if (typeof here !== "object" || here === null) return undefined;
		here = Reflect.get(here, part);
	}
	return here;
}

/** `tanks[0].volumeLitres` */
function keyText(path: Path): string {
	return path.reduce<string>((text, part) => {
		if (typeof part === "number") return `${text}[${part}]`;
		return text === "" ? part : `${text}.${part}`;
	}, "");
}
