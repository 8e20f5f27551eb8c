// `lees note`: what people keep beside the rig's log, kind by kind, and what it adds up to. Code is
// loaded only when a command is asked for. Registered by archive-commands.ts.

import { type Command, Option } from "commander";
import type { ArchiveOptions } from "./book.ts";
import type { PhotoOptions } from "./note-photo.ts";
import type { NoteOptions } from "./notes.ts";
import { localTime, names, number, wholeNumber, yesOrNo } from "./option-values.ts";

export const ARCHIVE = ["--archive <F>", "the archive", "lees-archive.sqlite"] as const;
export const RIG = ["--rig <NAME>", "only this rig"] as const;

export function registerNotes(program: Command): void {
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
			.requiredOption("--ml <N>", "millilitres", number)
			.option("--label <WORDS>", "the dose as the maker's label states it"),
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
			.option("--clear-and-bright <YES/NO>", "by the visual procedure of ASTM D4176", yesOrNo)
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
		kind("drained", "what was drained and not told to the controller")
			.requiredOption("--ml <N>", "millilitres", number)
			.option("--tank <NAME>", "whose fuel it came from")
			.option("--container <WORDS>", "into which it went: the waste ledger counts it there"),
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
	common(
		kind("spot-map", "where the tube reaches a tank's floor: what a sweep has to do")
			.requiredOption(...tank)
			.requiredOption("--spots <NAMES>", "as fore-low,middle,aft", names),
	);
	common(
		kind("spots", "pick-up spots that were done")
			.requiredOption(...tank)
			.requiredOption("--spots <NAMES>", "as fore-low,aft", names)
			.option("--run <N>", "in which run, as `lees runs` lists it", wholeNumber),
	);
	registerBooks(note);
}

/** What notes add up to, and what is done with one that is there. */
function registerBooks(note: Command): void {
	for (const [name, description] of [
		["map", "pick-up spots of each tank: which were done, when, in which run"],
		["ledger", "the waste ledger: what is aboard in which container, what was handed in where"],
	] as const) {
		note
			.command(name)
			.description(description)
			.option(...ARCHIVE)
			.option(...RIG)
			.option("--json", "print JSON")
			.action(async (options: ArchiveOptions) => {
				const { showLedger, showSpots } = await import("./book.ts");
				process.exitCode = name === "map" ? showSpots(options) : showLedger(options);
			});
	}
	note
		.command("photo")
		.description("writes a note's photo into a new file")
		.argument("<ID>", "as in the list")
		.requiredOption("--out <F>", "a new file")
		.option(...ARCHIVE)
		.action(async (id: string, options: PhotoOptions) => {
			const { savePhoto } = await import("./note-photo.ts");
			process.exitCode = savePhoto(id, options);
		});
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
		.option("--photo <F>", "JPEG, PNG, WebP or HEIC; its place and time are left out")
		.option("--id <ID>", "the same id twice is one note; left out: a new one")
		.option("--rig <NAME>", "where the archive has several")
		.option(...ARCHIVE)
		.option("--json", "print JSON");
}
