// The `lees` command as main.ts starts it. Exit 0 good, 1 the thing checked does not hold, 2 bad
// input or usage. Each command's code is loaded only when it is asked for, so that `--help` starts
// fast.

import { Command, CommanderError, InvalidArgumentError, Option } from "commander";
import { registerArchiveCommands } from "./archive-commands.ts";
import type { BenchOptions } from "./bench.ts";
import type { CampaignOptions } from "./campaign.ts";
import type { CommissionOptions } from "./commission.ts";
import type { ControlOptions } from "./control.ts";
import type { CoverageOptions } from "./coverage.ts";
import type { EmulateOptions } from "./emulate.ts";
import { EXIT, reportFailure } from "./exit.ts";
import { commandId, minutes, number, seconds, wholeNumber } from "./option-values.ts";
import type { RepeatOptions, WorkName } from "./order.ts";
import type { PullCommandOptions } from "./pull.ts";
import type { ReplayOptions } from "./replay.ts";
import type { ServeOptions } from "./serve.ts";
import type { SizeCommandOptions } from "./size.ts";
import type { WatchOptions } from "./watch.ts";

// A reader that has seen enough closes the pipe, or the terminal; that is no failure of ours.
process.stdout.on("error", (error: NodeJS.ErrnoException) => {
	const hasGone = error.code === "EPIPE" || error.code === "EIO";
	if (!hasGone) process.stderr.write(`lees: cannot write: ${error.message}\n`);
	process.exit(hasGone ? EXIT.good : EXIT.badInput);
});

const program = new Command("lees")
	.description(
		"Controller, bench and log reader for a portable 12 V diesel-polishing rig.\n" +
			"Diesel burns and petrol explodes: this must never touch petrol. Local codes come first.",
	)
	.exitOverride();

program
	.command("bench")
	.description("play a scenario: the controller against the simulated rig")
	.argument("[SCENARIO]", "a name from --list, the path of a .bench.yaml file, or all of the list")
	.option("--list", "show the scenarios that come with the project")
	.option("--seed <N>", "another seed than the scenario's", wholeNumber)
	.addOption(
		new Option("--set <SETPOINT=VALUE>", "change a setpoint of the rig; may be given again")
			.argParser(also)
			.default([], "none"),
	)
	.option("--log <F>", "write the run's records to F, one JSON object a line")
	.option("--plot <F>", "draw the run into F, a new SVG file: truth beside what was sensed")
	.option("--keep <F>", "keep all that the controller was told in F, a new file for `lees replay`")
	.option("--board <KIND>", "model, or emulated: the stock image on an emulated board", "model")
	.option("--json", "print one JSON object instead of the account")
	.action(async (typed: string | undefined, options: BenchOptions) => {
		const { bench } = await import("./bench.ts");
		process.exitCode = await bench(typed, options);
	});

program
	.command("campaign")
	.description(
		"many drawn rigs, seas and faults, invariants checked; a single seed tells its story",
	)
	.option("--seeds <A..B>", "the first and the last seed (in CI they must be given)")
	.option("--hours <H>", "the longest that a run's order pumps, to 48 (default: 1.5)", hours)
	.option("--write <DIR>", "folder for seeds that fail, as scenarios (default: lees-campaign)")
	.option("--json", "print one JSON object instead of the account")
	.action(async (options: CampaignOptions) => {
		const { campaign } = await import("./campaign.ts");
		process.exitCode = await campaign(options);
	});

program
	.command("control")
	.description("the controller itself: runs the pump; keep a person within reach")
	.argument("<RIG>", "the rig file")
	.requiredOption(
		"--board <BOARD>",
		"firmata:PORT; plugin or plugin:MODULE, an io plugin; or model, simulated",
	)
	.requiredOption("--log <DIR>", "folder of the record store; made when it is not there")
	.option("--log-megabytes <N>", "size from which its samples are thinned, from 16", megabytes, 256)
	.addOption(
		new Option("--link <PORT>", "serial port for orders and the log; may be given again")
			.argParser(also)
			.default([], "none"),
	)
	.option("--socket <PATH>", "the same on a local socket, for this user alone")
	.action(async (rig: string, options: ControlOptions) => {
		const { control } = await import("./control.ts");
		process.exitCode = await control(rig, options);
	});

program
	.command("emulate")
	.description(
		"an emulated board with a simulated rig on a pseudo-terminal. Type help for what\n" +
			"hands may do there: press the box's button, stop, lift the return, and so on",
	)
	.argument("<RIG>", "the rig file")
	.requiredOption("--link <PATH>", "the port to make")
	.option("--trace <F>", "pin edges and truth, one JSON object a line (default: PATH.trace.jsonl)")
	.option("--water-ml <N>", "free water under the tube, to 10000", millilitres, 0)
	.action(async (rig: string, options: EmulateOptions) => {
		const { emulate } = await import("./emulate.ts");
		process.exitCode = await emulate(rig, options);
	});

program
	.command("size")
	.description("what a rig will do, tank by tank, cold and warm: estimates with their ranges")
	.argument("<RIG>", "the rig file")
	.option("--json", "print one JSON object instead of the account")
	.option("--plot <F>", "draw pump against system into F, a new SVG file")
	.option("--seed <N>", "of the draws (default: 1; in CI it must be given)", wholeNumber)
	.option("--draws <N>", "from the stated uncertainties, 100 to 100000", drawCount, 2_000)
	.action(async (rig: string, options: SizeCommandOptions) => {
		const { size } = await import("./size.ts");
		process.exitCode = size(rig, options);
	});

program
	.command("coverage")
	.description("which hazards a rig's sensors cover; exit 1 when it may not be left alone")
	.argument("<RIG>", "the rig file")
	.option("--json", "print one JSON object")
	.action(async (rig: string, options: CoverageOptions) => {
		const { coverage } = await import("./coverage.ts");
		process.exitCode = coverage(rig, options);
	});

const idOption = [
	"--id <ID>",
	"of a command that was not answered: the same id is never done twice",
	commandId,
] as const;
const order = program.command("order").description("orders over the link; exit 1 when refused");
planned(
	order
		.command("polish")
		.description("pump a tank's fuel through the filter and back: mind return, tray and vent")
		.argument("<PORT>", "the link's serial port, or a local socket")
		.requiredOption("--tank <NAME>", "as in the rig file")
		.option("--litres <N>", "goal in litres", number)
		.option("--turnovers <N>", "goal in times the tank's fuel", number)
		.option("--hours <N>", "goal in hours of pumping", number)
		.option("--target-dilution <N>", "goal in the share of dirt left, an estimate", number)
		.option("--dip-litres <N>", "what the dip stick showed", number)
		.option("--sweep-first", "bursts and stands until they bring no water (unattended: always)")
		.option("--no-sweep-first", "without them: the floor is known to be dry")
		.option("--attended", "a person stays at the rig for the whole order"),
	"polish",
);
planned(
	order
		.command("transfer")
		.description("pump from one tank into another through the filter: mind ullage and vent")
		.argument("<PORT>", "the link's serial port, or a local socket")
		.requiredOption("--from <NAME>", "the tank that the tube stands in")
		.requiredOption("--to <NAME>", "the tank that the return hangs in")
		.option("--litres <N>", "goal in litres; left out: up to the level", number)
		.option("--fill-to-pct <N>", "level at which it ends, % of that tank", number)
		.option("--from-dip-litres <N>", "what the dip stick showed there", number)
		.option("--to-dip-litres <N>", "what the dip stick showed there", number)
		.option("--attended", "a person stays at the rig for the whole order"),
	"transfer",
);
planned(
	order
		.command("sweep")
		.description("take water and sludge from a tank's floor in bursts: mind what the bowl holds")
		.argument("<PORT>", "the link's serial port, or a local socket")
		.requiredOption("--tank <NAME>", "as in the rig file")
		.option("--dry-bursts <N>", "ends after so many without water", number)
		.option("--stand-seconds <N>", "how long the bowl stands after each", number)
		.option("--attended", "a person stays at the rig for the whole order"),
	"sweep",
);
order
	.command("cancel-plan")
	.description("a plan that waits for its time does not begin")
	.argument("<PORT>", "the link's serial port, or a local socket")
	.argument("<PLAN>", "its id, as it was told when the plan was taken")
	.option(...idOption)
	.action(async (port: string, planId: string, options: RepeatOptions) => {
		const { cancelPlan } = await import("./order.ts");
		process.exitCode = await cancelPlan(port, planId, options);
	});
order
	.command("stop")
	.description("pump off now; the order ends")
	.argument("<PORT>", "the link's serial port, or a local socket")
	.option(...idOption)
	.action(async (port: string, options: RepeatOptions) => {
		const { orderStop } = await import("./order.ts");
		process.exitCode = await orderStop(port, options);
	});
order
	.command("acknowledge")
	.description("acknowledge a trip that may be acknowledged away from the box")
	.argument("<PORT>", "the link's serial port, or a local socket")
	.option(...idOption)
	.action(async (port: string, options: RepeatOptions) => {
		const { orderAcknowledge } = await import("./order.ts");
		process.exitCode = await orderAcknowledge(port, options);
	});

program
	.command("clock")
	.description("tell the controller this computer's local time: it has no clock of its own")
	.argument("<PORT>", "the link's serial port, or a local socket")
	.option("--uncertainty-seconds <N>", "how far this computer may be off", seconds, 2)
	.action(async (port: string, { uncertaintySeconds }: { uncertaintySeconds: number }) => {
		const { setClock } = await import("./order.ts");
		process.exitCode = await setClock(port, uncertaintySeconds);
	});

const LISTEN = "127.0.0.1:8437";
const patienceOption = [
	"--patience-seconds <N>",
	"how long a line that was lost is waited for",
	seconds,
	60,
] as const;
program
	.command("pull")
	.description("fetch the log from a controller into the archive; the cable may come off")
	.argument("<PORT>", "the link's serial port, or a local socket")
	.option("--archive <F>", "the archive", "lees-archive.sqlite")
	.option("--follow", "go on with what becomes durable until stopped")
	.option(...patienceOption)
	.option("--json", "print one JSON object")
	.action(async (port: string, options: PullCommandOptions) => {
		const { pullLog } = await import("./pull.ts");
		process.exitCode = await pullLog(port, options);
	});
program
	.command("watch")
	.description("a live view of the controller; it only looks: the stop button is at the rig")
	.argument("<PORT>", "the link's serial port, or a local socket")
	.option(...patienceOption)
	.action(async (port: string, options: WatchOptions) => {
		const { watch } = await import("./watch.ts");
		process.exitCode = await watch(port, options);
	});
program
	.command("commission")
	.description(
		"prove the rig's stops, led step by step; what is due; exit 1 while a step is.\n" +
			"With a rig file and --print: its steps on paper",
	)
	.argument("[PORT]", "the link's serial port, or a local socket")
	.option("--list", "which steps are due, and why")
	.option("--json", "print the list as one JSON object")
	.option("--step <NAME>", "begin with this step, due or not")
	.option("--by <INITIALS>", "of the person at the rig")
	.option("--tank <NAME>", "that the tube stands in, as in the rig file")
	.option("--changed <PART>", "a part was changed: its steps are due again; with --by")
	.option("--write <F>", "the rig file with the meter's factor by the fills, into a new file")
	.option("--print <F>", "the steps as a sheet, into a new .pdf or .html file")
	.addOption(new Option("--paper <SIZE>", "of it").choices(["A4", "Letter"]).default("A4"))
	.option(...patienceOption)
	.action(async (port: string | undefined, options: CommissionOptions) => {
		const { commission } = await import("./commission.ts");
		process.exitCode = await commission(port, options);
	});
program
	.command("serve")
	.description("pages for phones and browsers: the live rig, the bench, season and logbook")
	.argument("[PORT]", "the link's serial port, or a local socket; left out: no rig is looked at")
	.option("--listen <HOST:PORT>", "where; beyond this computer whoever is there can look", LISTEN)
	.addOption(
		new Option("--name <HOST>", "a name that browsers may call it by; may be given again")
			.argParser(also)
			.default([], "none"),
	)
	.option("--archive <F>", "the archive that season and logbook show; the log is fetched into it")
	.option("--on-trip <CMD>", "program to run at a trip, an order's end, a lost controller")
	.option("--webhook <URL>", "address on this computer that is told of the same, by POST")
	.option("--webhook-anywhere", "let the webhook's address be on another computer")
	.option("--tell-again-minutes <N>", "tell a trip again while it stays open", minutes)
	.action(async (port: string | undefined, options: ServeOptions) => {
		const { serve } = await import("./serve.ts");
		process.exitCode = await serve(port, options);
	});
program
	.command("replay")
	.description("decide a run again by today's logic; exit 1 where it decides otherwise")
	.argument("<RUN>", "a file of `lees bench --keep`; or of the archive `last` or a record's number")
	.option("--archive <F>", "the archive", "lees-archive.sqlite")
	.option("--rig <NAME>", "of the archive, this rig alone")
	.option("--rig-file <F>", "decide with this rig file in place of the one of that time")
	.addOption(
		new Option("--set <SETPOINT=VALUE>", "change a setpoint of the rig; may be given again")
			.argParser(also)
			.default([], "none"),
	)
	.option("--json", "print one JSON object instead of the account")
	.action(async (typed: string, options: ReplayOptions) => {
		const { replayRun } = await import("./replay.ts");
		process.exitCode = await replayRun(typed, options);
	});
registerArchiveCommands(program);

try {
	await program.parseAsync();
} catch (error) {
	if (error instanceof CommanderError) {
		process.exitCode = error.exitCode === 0 ? EXIT.good : EXIT.badInput;
	} else {
		process.exitCode = reportFailure(error);
	}
}

/** Adds when work may begin by itself, and what becomes of it. */
function planned(command: Command, name: WorkName): void {
	command
		.option("--at <TIME>", "begin then by itself, local time as 2026-11-29T10:00")
		.option("--window-hours <N>", "with --at: how long it may wait for its conditions", number)
		.option("--on-charge", "with --at: only on shore power or sun")
		.option("--battery-volts-min <N>", "with --at: only above this, V of 12", number)
		.option(...idOption)
		.action(async (port: string, options: Record<string, unknown>) => {
			const { orderWork } = await import("./order.ts");
			process.exitCode = await orderWork(port, name, options);
		});
}

function also(value: string, before: readonly string[]): string[] {
	return [...before, value];
}

function millilitres(text: string): number {
	const value = number(text);
	if (value < 0 || value > 10_000) throw new InvalidArgumentError("0 to 10000 mL.");
	return value;
}

function hours(text: string): number {
	const value = number(text);
	if (value < 0.1 || value > 48) throw new InvalidArgumentError("0.1 to 48 hours.");
	return value;
}

function megabytes(text: string): number {
	const value = wholeNumber(text);
	if (value < 16 || value > 100_000) throw new InvalidArgumentError("16 to 100000 MB.");
	return value;
}

function drawCount(text: string): number {
	const value = wholeNumber(text);
	if (value < 100 || value > 100_000) throw new InvalidArgumentError("100 to 100000 draws.");
	return value;
}
