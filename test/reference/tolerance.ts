// Which tolerance of a row holds for which of its fields. Imports nothing.
//
// A row's tolerance has plain keys (rel, abs, exact) and keys that name a field, a part of one, a
// regime or a provenance: `printed: {rel}`, `rel_to_printed`, `inside_abs`, `abs_V`,
// `alpha_vs_printed`. Such a key is a set of words, one of which may be rel or abs. It holds for
// the fields that have all the others among their own words; the one with most words wins. A
// printed field that no key fits takes the loosest of the keys that say printed. What is left takes
// the plain keys, then the key `formula`, then DEFAULT_REL.

export interface Tolerance {
	readonly rel: number;
	readonly abs: number;
	readonly exact: boolean;
}

/** Where a row says nothing of a field: its numbers are written to eight digits, or seven. */
const DEFAULT_REL = 1e-6;

/** Words for a value that somebody else has found or written. */
export const PROVENANCE = ["printed", "published", "handbook", "table", "remembered"] as const;

const LINKS = new Set(["to", "vs"]);
const KINDS = new Set(["rel", "abs", "exact"]);

interface Rule extends Tolerance {
	readonly words: readonly string[];
}

export const wordsOf = (name: string): string[] => name.split(/[_.\s]/).filter(Boolean);

const amount = (value: unknown): number => (typeof value === "number" ? value : 0);

function ruleOf(key: string, value: unknown): Rule {
	const all = wordsOf(key);
	const words = all.filter((word) => !LINKS.has(word) && !KINDS.has(word));
	if (typeof value === "object" && value !== null) {
		const { rel, abs, exact } = value as Record<string, unknown>;
		return { words, rel: amount(rel), abs: amount(abs), exact: exact === true };
	}
	return {
		words,
		rel: all.includes("rel") ? amount(value) : 0,
		abs: all.includes("abs") ? amount(value) : 0,
		exact: all.includes("exact") && value === true,
	};
}

/** Several rules as one: the larger of each. */
function loosest(rules: readonly Rule[]): Tolerance {
	return {
		rel: Math.max(...rules.map(({ rel }) => rel)),
		abs: Math.max(...rules.map(({ abs }) => abs)),
		exact: rules.every(({ exact }) => exact),
	};
}

/**
 * @param path the field's name, behind those of the fields around it
 * @param regime the row's word for this entry of a list, such as laminar
 */
export function toleranceOf(
	tolerance: Readonly<Record<string, unknown>>,
	path: readonly string[],
	regime?: string,
): Tolerance {
	const words = path.flatMap(wordsOf);
	if (regime !== undefined) words.push(regime);
	const rules = Object.entries(tolerance).map(([key, value]) => ruleOf(key, value));
	const fitting = rules.filter(
		(rule) => rule.words.length > 0 && rule.words.every((word) => words.includes(word)),
	);
	if (fitting.length > 0) {
		const most = Math.max(...fitting.map((rule) => rule.words.length));
		return loosest(fitting.filter((rule) => rule.words.length === most));
	}
	for (const provenance of PROVENANCE) {
		if (!words.includes(provenance)) continue;
		const said = rules.filter((rule) => rule.words.includes(provenance));
		if (said.length > 0) return loosest(said);
	}
	const plain = rules.filter((rule) => rule.words.length === 0);
	if (plain.length > 0) return loosest(plain);
	const formula = rules.filter((rule) => rule.words.includes("formula"));
	if (formula.length > 0) return loosest(formula);
	return { rel: DEFAULT_REL, abs: 0, exact: false };
}

const ROUNDING_DIGITS = 8;

/** Half a unit of the eighth digit of a number, which is as far as the rows are written. */
export function roundingOf(value: number): number {
	if (value === 0 || !Number.isFinite(value)) return 0;
	return 0.5 * 10 ** (Math.floor(Math.log10(Math.abs(value))) + 1 - ROUNDING_DIGITS);
}

/** The same of a number as it is written; 0 where it has fewer digits and was hardly rounded. */
export function writtenRoundingOf(value: number): number {
	const written = String(Math.abs(value)).replace(/e.*$/, "").replace(".", "");
	const digits = written.replace(/^0+/, "").replace(/0+$/, "").length;
	return digits < ROUNDING_DIGITS ? 0 : roundingOf(value) * 10 ** (ROUNDING_DIGITS - digits);
}

export function describeTolerance({ rel, abs, exact }: Tolerance): string {
	if (exact) return "exact";
	const parts = [rel > 0 ? `rel ${rel}` : "", abs > 0 ? `abs ${abs}` : ""];
	return parts.filter(Boolean).join(" or ") || "exact";
}
