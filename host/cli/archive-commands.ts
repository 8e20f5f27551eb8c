// The commands that read and keep the laptop's archive: runs, totals, element, ready, report,
// export, note. Their code is loaded only when one is asked for. Registered by main.ts.

import { type Command, Option } from "commander";
import { DUE_LIMITS as DUE } from "../archive/due-limits.ts";
import { READY_LIMITS } from "../archive/ready-limits.ts";
import type { ArchiveOptions, ExportOptions, ReadyOptions } from "./book.ts";
import type { NoteOptions } from "./notes.ts";
import { localTime, number, positive, wholeNumber } from "./option-values.ts";
import type { ReportOptions } from "./report.ts";

const ARCHIVE = ["--archive <F>", "the archive", "lees-archive.sqlite"] as const;
const RIG = ["--rig <NAME>", "only this rig"] as const;

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
	reading("element", "the element in use: what it has seen and what it still takes").action(
		async (options: ArchiveOptions) => {
			const { showElement } = await import("./book.ts");
			process.exitCode = showElement(options);
		},
	);
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

function registerNotes(program: Command): void {
	const note = program
		.command("note")
		.description("what the rig does not see, kept beside its log");
	const kind = (name: string, description: string) => {
		const command = note.command(name).description(description);
		command.action(async (options: NoteOptions) => {
			const { addNote } = await import("./notes.ts");
			process.exitCode = addNote(name, options);
		});
		return command;
	};
	const tank = ["--tank <NAME>", "as in the rig file"] as const;
	common(
		kind("uplift", "fuel bought: the batch is where water comes from")
			.requiredOption(...tank)
			.requiredOption("--litres <N>", "bought", number)
			.option("--place <WORDS>", "where")
			.option("--batch <WORDS>", "as on the receipt"),
	);
	common(
		kind("dose", "an additive: dose by the maker's label")
			.requiredOption(...tank)
			.requiredOption("--product <WORDS>", "what kind")
			.requiredOption("--ml <N>", "millilitres", number),
	);
	common(
		kind("sample", "a sample looked at: nothing else may say clean")
			.requiredOption(...tank)
			.addOption(
				new Option("--of <KIND>", "what was drawn")
					.choices(["after-24h", "bowl", "tank-bottom"])
					.makeOptionMandatory(),
			)
			.addOption(
				new Option("--looked <LOOK>", "in a clear glass, against the light")
					.choices(["clear", "hazy", "water", "dirt"])
					.makeOptionMandatory(),
			)
			.option("--iso4406 <CODE>", "a lab's count, as 18/16/13"),
	);
	common(
		kind("element-change", "a new element: isolator off and locked, gloves on, no flame")
			.requiredOption("--micron <N>", "of the new one", number)
			.option(
				"--after-run <N>",
				"it was changed after that run; left out: after the last record",
				wholeNumber,
			),
	);
	common(
		kind("drained", "what was drained and not told to the controller").requiredOption(
			"--ml <N>",
			"millilitres",
			number,
		),
	);
	common(
		kind("spare-elements", "elements on board, counted").requiredOption(
			"--count <N>",
			"how many",
			wholeNumber,
		),
	);
	common(
		kind("waste", "water and sludge put into a container, or handed in")
			.requiredOption("--ml <N>", "millilitres", number)
			.requiredOption("--container <WORDS>", "which")
			.option("--place <WORDS>", "the licensed facility; left out: still aboard")
			.option("--receipt <WORDS>", "its number"),
	);
	common(
		kind("engine", "the engine has not run since then").requiredOption(
			"--stands-since <TIME>",
			"local time as 2026-11-29T10:00",
			localTime,
		),
	);
	note
		.command("list")
		.description("all notes in the order in which things happened")
		.option(...ARCHIVE)
		.option(...RIG)
		.option("--json", "print JSON")
		.action(async (options: ArchiveOptions) => {
			const { listNotes } = await import("./notes.ts");
			process.exitCode = listNotes(options);
		});
	note
		.command("strike")
		.description("a note counts no more; it stays in the list")
		.argument("<ID>", "as in the list")
		.option(...ARCHIVE)
		.action(async (id: string, options: ArchiveOptions) => {
			const { strikeNote } = await import("./notes.ts");
			process.exitCode = strikeNote(id, options);
		});
}

/** What every note may say. */
function common(command: Command): void {
	command
		.option("--at <TIME>", "when it happened, local time as 2026-11-29T10:00", localTime)
		.option("--by <INITIALS>", "whose")
		.option("--text <WORDS>", "anything more")
		.option("--id <ID>", "the same id twice is one note; left out: a new one")
		.option("--rig <NAME>", "where the archive has several")
		.option(...ARCHIVE)
		.option("--json", "print JSON");
}
