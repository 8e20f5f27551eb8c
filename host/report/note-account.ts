// What notes add up to, for a terminal of 100 columns: the waste ledger, the pick-up spots, every
// element that was in use. Made from the same answers that `--json` prints. Pure.

import type { PastElementAnswer } from "../archive/answers.ts";
import type { SpotMap, WasteLedger } from "../archive/note-answers.ts";
import { cautions } from "../web/words/note-cautions.ts";
import { plusMinus, terminalTable, wrapped } from "./terminal-table.ts";
import { localText } from "./when-words.ts";

const COLUMNS = 100;
const ml = (value: number): string => `${value.toFixed(0)} mL`;

export function ledgerAccount(ledger: WasteLedger & { readonly rig: string }): string {
	const { rig, drainedMl, handedMl, aboardMl, looseMl, containers, handed } = ledger;
	const lines = [
		`${rig}: ${ml(drainedMl)} drained, ${ml(handedMl)} handed in, ${ml(aboardMl)} aboard.`,
	];
	if (containers.length > 0) {
		const rows = containers.map((row) => [row.container, row.filledMl, row.handedMl, row.aboardMl]);
		lines.push(terminalTable(["container", "in, mL", "out, mL", "aboard, mL"], rows, CONTAINERS));
	}
	if (looseMl > 0) lines.push(`${ml(looseMl)} of it in no container that was noted.`);
	if (handed.length > 0) {
		const rows = handed.map(({ atUtcMs, wasteMl, container, place, receipt }) => [
			localText(atUtcMs),
			wasteMl,
			container,
			place,
			receipt ?? "none noted",
		]);
		const head = ["handed in (local)", "mL", "container", "where", "receipt"];
		lines.push(terminalTable(head, rows, HANDED));
	}
	return [...lines, wrapped(cautions.waste, COLUMNS)].join("\n");
}

const CONTAINERS: readonly number[] = [40, 14, 14, 14];
/** With six borders 100 columns. */
const HANDED: readonly number[] = [19, 9, 22, 26, 18];

export function spotTable(maps: readonly SpotMap[]): string {
	if (maps.length === 0) return "no pick-up spots are noted (lees note spot-map)";
	const rows = maps.flatMap(({ tank, spots }) =>
		spots.map(({ spot, doneUtcMs, run, isDone }) => [
			tank,
			spot,
			doneUtcMs === null ? "never" : localText(doneUtcMs),
			run ?? "",
			isDone ? "done" : "TO BE DONE",
		]),
	);
	const head = ["tank", "spot", "last done (local)", "in run", "since the last uplift"];
	return terminalTable(head, rows, [19, 24, 19, 9, 23]);
}

export function elementTable(elements: readonly PastElementAnswer[]): string {
	const rows = elements.map((row) => [
		row.micron ?? "not noted",
		row.changed === null ? "before the log" : localText(row.changed),
		row.until === null ? "in use" : localText(row.until),
		row.runs,
		plusMinus(row.litres, row.litresUncertainty),
		plusMinus(row.motorHours, row.motorHoursUncertainty),
		row.lastKpa === null ? "not told" : row.lastKpa.toFixed(2),
	]);
	const head = ["µm", "from (local)", "until (local)", "runs", "L by meter", "pump h", "last kPa"];
	return terminalTable(head, rows, [9, 18, 18, 6, 16, 15, 10]);
}
