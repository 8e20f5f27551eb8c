// The trip catalogue and the setpoints as Markdown tables. README and DEVELOPERS.md carry them
// between markers; `npm run docs` writes them anew and a test holds both equal.

import { setpointRows } from "../../firmware/cycle/setpoints.ts";
import { tripCodes, trips } from "../../firmware/cycle/trips.ts";

/** What, how bad, how it clears, what it needs; below it a list of what to do. */
export function tripTable(): string {
	const rows = tripCodes.map((code) => {
		const { severity, cause, acknowledgeAt, afterwards, sensors } = trips[code];
		const where = acknowledgeAt === "box" ? "at the box" : "anywhere";
		const needs = sensors.length === 0 ? "none" : sensors.join(", ");
		return [`\`${code}\``, severity, cause, where, afterwards, needs];
	});
	const head = ["trip", "severity", "cause", "acknowledged", "then", "sensors"];
	const toDo = tripCodes.map((code) => `- \`${code}\`: ${trips[code].toDo}.`);
	return [table([head, ...rows]), "", "What to do:", "", ...toDo].join("\n");
}

export function setpointTable(): string {
	const rows = Object.entries(setpointRows).map(([name, { unit, preset, min, max, reason }]) => [
		`\`${name}\``,
		unit,
		preset,
		`${min} to ${max}`,
		reason,
	]);
	return table([["setpoint", "unit", "default", "range", "reason"], ...rows]);
}

/** The first row is the head. */
export function table([head = [], ...rows]: ReadonlyArray<ReadonlyArray<string | number>>): string {
	const line = (cells: ReadonlyArray<string | number>) => `| ${cells.join(" | ")} |`;
	return [line(head), line(head.map(() => "---")), ...rows.map(line)].join("\n");
}

/** The document with the text between its markers `<!-- NAME -->` and `<!-- /NAME -->` replaced. */
export function withSection(document: string, name: string, text: string): string {
	const [open, close] = [`<!-- ${name} -->`, `<!-- /${name} -->`];
	const from = document.indexOf(open);
	const to = document.indexOf(close);
	if (from < 0 || to < from) throw new Error(`the document has no section ${name}`);
	return `${document.slice(0, from)}${open}\n${text}\n${document.slice(to)}`;
}
