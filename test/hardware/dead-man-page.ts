// The table of the dead-man's parts for hardware/dead-man/README.md, made from parts.yaml. What
// nobody counts in pieces (models) stands in the text there.

import { deadManParts } from "./dead-man-parts.ts";

const PREFIXES = [
	[1e6, "M"],
	[1e3, "k"],
	[1, ""],
	[1e-6, "µ"],
	[1e-9, "n"],
] as const;
const UNITS: Readonly<Record<string, string>> = { R: "Ω", C: "F", I: "V" };

function worded(id: string, value: number): string {
	const [factor, prefix] = PREFIXES.find(([size]) => value >= size) ?? [1, ""];
	const number = Number((value / factor).toPrecision(4));
	return `${number} ${prefix}${UNITS[id[0] ?? ""] ?? ""}`;
}

const percent = (share: number): string => `${Number((share * 100).toPrecision(3))} %`;

export function partsTable(): string {
	const rows = deadManParts.parts.map(({ id, count, value, tolerance, rating, does }) =>
		[
			count === undefined ? id : `${id} (${count} times)`,
			worded(id, value),
			percent(tolerance.bought),
			percent(tolerance.overAll),
			rating,
			does,
		].join(" | "),
	);
	return [
		"| part | value | as bought ± | over all ± | kind | what it does |",
		"| --- | --- | --- | --- | --- | --- |",
		...rows.map((row) => `| ${row} |`),
	].join("\n");
}
