// The parts list's page, hardware/PARTS.md: made from hardware/parts.yaml and the wiring, which has
// values and references. `npm run docs` writes it, a test holds it equal. Pure.

import { farSeriesOhm, ohmText, ratingText } from "./drawing/part-words.ts";
import { type Netlist, ofKind, ohmOf } from "./netlist.ts";
import type { PartsFile, PartsRow } from "./parts-list.ts";

export function partsPage({ groups, rows }: PartsFile, list: Netlist): string {
	const sections = [
		"# What it is built from",
		"<!-- Made from parts.yaml and wiring.yaml by `npm run docs`: change those, not this. -->",
		INTRODUCTION,
		...Object.entries(groups).flatMap(([group, title]) => [
			`## ${title}`,
			table(
				["number", "what", "references", "rating", "may be swapped for", "may not be"],
				rows.filter((row) => row.group === group).map((row) => cells(row, list)),
			),
		]),
		"## Ignition protection",
		IGNITION,
		rows
			.filter(({ ignition }) => ignition === true)
			.map((row) => `- ${row.function}${refsOf(row, list) === "" ? "" : ` (${refsOf(row, list)})`}`)
			.join("\n"),
		"## Resistors by value",
		RESISTORS,
		table(["value", "number", "references"], resistorRows(list)),
	];
	return `${sections.join("\n\n")}\n`;
}

const INTRODUCTION = [
	"By function and rating: any maker's part will do that meets the line. References are those of",
	"`wiring-*.svg` and `WIRING.md`. Ratings are the design's own, for an invented example rig;",
	"where a standard is named it is guidance. Have the choice of parts checked where the law",
	"asks for licensed practice.",
].join(" ");

const IGNITION = [
	"These make sparks or heat. In any space where vapour of petrol or LPG can gather they have to",
	"be ignition-protected (ISO 8846, ABYC E-11), box and all; better, none of them stands there.",
	"A sealed relay in a sealed box is not thereby ignition-protected: only a part that says so is.",
].join(" ");

const RESISTORS = [
	"Those of the solder board and of the input guards, and those that sit in a switch or a probe at",
	"the far end of its wires. Values come from `pins.yaml`, or from `wiring.yaml` where a channel",
	"has none.",
].join(" ");

const refOrder = (a: string, b: string) => a.localeCompare(b, "en", { numeric: true });

const refsOf = ({ wired = [] }: PartsRow, { parts, plugs }: Netlist) =>
	wired
		.map((part) => (parts[part] ?? plugs[part])?.ref ?? "")
		.sort(refOrder)
		.join(", ");

function cells(row: PartsRow, list: Netlist): string[] {
	const { wired = [], quantity = wired.length, rating, maySwap, mayNot } = row;
	const byValue = new Map<string, string[]>();
	for (const id of wired) {
		const part = list.parts[id];
		if (part === undefined || part.kind === "resistor") continue;
		const value = ratingText(part, list);
		if (value !== "") byValue.set(value, [...(byValue.get(value) ?? []), part.ref]);
	}
	const shown = [...byValue]
		.map(([value, refs]) => (byValue.size === 1 ? value : `${refs.join(", ")}: ${value}`))
		.join("; ");
	const name = row.ignition === true ? `${row.function} *` : row.function;
	return [
		String(quantity),
		name,
		refsOf(row, list),
		shown === "" ? rating : `${shown}; ${rating}`,
		maySwap,
		mayNot,
	];
}

function resistorRows(list: Netlist): string[][] {
	const byValue = new Map<number, string[]>();
	const add = (ohm: number | undefined | null, ref: string) => {
		if (ohm === undefined || ohm === null) return;
		byValue.set(ohm, [...(byValue.get(ohm) ?? []), ref]);
	};
	for (const id of ofKind(list, "resistor", "guard")) {
		const part = list.parts[id];
		if (part !== undefined) add(ohmOf(part, list.pins), part.ref);
	}
	for (const part of Object.values(list.parts)) {
		if (!FAR_KINDS.includes(part.kind)) continue;
		const channel = part.channel === undefined ? undefined : list.pins.channels[part.channel];
		if (channel === undefined || !("loop" in channel || "bridge" in channel)) continue;
		const ends = channel.loop ?? channel.bridge;
		if (ends === undefined) continue;
		add(farSeriesOhm(ends), `in ${part.ref}, in series`);
		add(ends.endOfLineOhm, `in ${part.ref}, across`);
	}
	return [...byValue]
		.sort(([a], [b]) => a - b)
		.map(([ohm, refs]) => [ohmText(ohm), String(refs.length), refs.sort(refOrder).join("; ")]);
}
const FAR_KINDS: readonly string[] = [
	"stop-button",
	"seat-switch",
	"pressure-switch",
	"loop-end",
	"probe",
];

/** A Markdown table. */
export function table(head: readonly string[], rows: readonly (readonly string[])[]): string {
	const line = (cellsOf: readonly string[]) => `| ${cellsOf.join(" | ")} |`;
	return [line(head), line(head.map(() => "---")), ...rows.map(line)].join("\n");
}
