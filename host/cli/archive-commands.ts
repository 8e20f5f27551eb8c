// The commands that read and keep the laptop's archive: runs, totals, element, ready, report,
// export. Their code is loaded only when one is asked for. Registered by main.ts.

import { type Command, Option } from "commander";
import { DUE_LIMITS as DUE, READY_LIMITS } from "../archive/ready-limits.ts";
import type { ArchiveOptions, ElementOptions, ExportOptions, ReadyOptions } from "./book.ts";
import { ARCHIVE, RIG, registerNotes } from "./note-commands.ts";
import { positive, wholeNumber } from "./option-values.ts";
import type { ReportOptions } from "./report.ts";

export function registerArchiveCommands(program: Command): void {
	const reading = (name: string, description: string) =>
		program
			.command(name)
			.description(description)
			.option(...ARCHIVE)
			.option(...RIG)
			.option("--json", "print JSON");
	reading("runs", "what was run, when, how it ended, what was moved").action(
		async (options: ArchiveOptions) => {
			const { listRuns } = await import("./book.ts");
			process.exitCode = listRuns(options);
		},
	);
	reading("totals", "hours and litres of the rig, each tank and the element in use").action(
		async (options: ArchiveOptions) => {
			const { listTotals } = await import("./book.ts");
			process.exitCode = listTotals(options);
		},
	);
	reading("element", "the element in use: what it has seen and what it still takes")
		.option("--all", "every element that was in use, each with its own totals")
		.action(async (options: ElementOptions) => {
			const { showElement } = await import("./book.ts");
			process.exitCode = showElement(options);
		});
	registerReady(reading("ready", "is the boat ready to leave? Exit 1 when it is not, with why"));
	registerReport(reading("report", "the season of a rig: text, HTML, PDF; two sheets as a rule"));
	registerExport(program);
	registerNotes(program);
}

function registerReady(command: Command): void {
	readyLimits(command).action(async (options: ReadyOptions) => {
		const { showReady } = await import("./book.ts");
		process.exitCode = showReady(options);
	});
}

function registerReport(command: Command): void {
	readyLimits(command)
		.option("--uplift-days <N>", "due so long after fuel was bought", positive, DUE.upliftDays)
		.option("--water-days <N>", "due so long after water stopped a run", positive, DUE.waterDays)
		.option("--dose-days <N>", "due so long after a dose", positive, DUE.doseDays)
		.option("--html <F>", "write it into a new file, which needs no other")
		.option("--pdf <F>", "write it into a new file")
		.addOption(new Option("--paper <SIZE>", "of both").choices(["A4", "Letter"]).default("A4"))
		.addOption(
			new Option("--units <UNIT...>", "in place of L and kPa").choices(["L", "gal", "kPa", "inHg"]),
		)
		.action(async (options: ReportOptions) => {
			const { report } = await import("./report.ts");
			process.exitCode = await report(options);
		});
}

/** What both ask of a boat that is to leave. */
function readyLimits(command: Command): Command {
	const limits = READY_LIMITS;
	return command
		.option(
			"--turnovers <N>",
			"of each tank since its last uplift, at least",
			positive,
			limits.turnoversMin,
		)
		.option(
			"--standing-days <N>",
			"since each tank was polished, at most",
			positive,
			limits.standingDaysMax,
		)
		.option(
			"--element-pct <N>",
			"that the element still takes, at least",
			positive,
			limits.elementLeftPctMin,
		)
		.option("--spares <N>", "elements on board, at least", wholeNumber, limits.sparesMin)
		.option(
			"--stand-hours <N>",
			"of the fuel before an engine, at least",
			positive,
			limits.standHoursMin,
		)
		.option("--waste-ml <N>", "still aboard, at most", positive, limits.wasteMlMax);
}

function registerExport(program: Command): void {
	program
		.command("export")
		.description("the archive as CSV, JSON Lines, or a table that a spreadsheet opens")
		.addOption(
			new Option("--what <WHAT>", "which rows")
				.choices(["runs", "events", "samples", "hours", "notes"])
				.default("runs"),
		)
		.addOption(
			new Option("--format <FORMAT>", "table: tabs, units in the head, no cell is a formula")
				.choices(["csv", "jsonl", "table"])
				.default("csv"),
		)
		.option("--out <F>", "a new file; left out: standard output")
		.option("--force", "write over that file")
		.option(...RIG)
		.option(...ARCHIVE)
		.action(async (options: ExportOptions) => {
			const { exportRows } = await import("./book.ts");
			process.exitCode = await exportRows(options);
		});
}
