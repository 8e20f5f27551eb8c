#!/usr/bin/env node
// The `lees` command. Exit 0 good, 1 the thing checked does not hold, 2 bad input or usage.
// Each command's code is loaded only when it is asked for, so that `--help` starts fast.

import { Command, CommanderError, InvalidArgumentError } from "commander";
import type { BenchOptions } from "./bench.ts";
import { EXIT, reportFailure } from "./exit.ts";

const program = new Command("lees")
	.description(
		"Controller, bench and log reader for a portable 12 V diesel-polishing rig.\n" +
			"Diesel burns and petrol explodes: this must never touch petrol. Local codes come first.",
	)
	.exitOverride();

program
	.command("bench")
	.description("play a scenario: the controller against the simulated rig")
	.argument("[SCENARIO]", "a name from --list, or the path of a .bench.yaml file")
	.option("--list", "show the scenarios that come with the project")
	.option("--seed <N>", "another seed than the scenario's", wholeNumber)
	.option("--log <F>", "write the run's records to F, one JSON object a line")
	.option("--json", "print one JSON object instead of the account")
	.action(async (typed: string | undefined, options: BenchOptions) => {
		const { bench } = await import("./bench.ts");
		process.exitCode = bench(typed, options);
	});

try {
	await program.parseAsync();
} catch (error) {
	if (error instanceof CommanderError) {
		process.exitCode = error.exitCode === 0 ? EXIT.good : EXIT.badInput;
	} else {
		process.exitCode = reportFailure(error);
	}
}

function wholeNumber(text: string): number {
	const value = Number(text);
	if (!/^\d+$/.test(text) || value > 2 ** 31 - 1) {
		throw new InvalidArgumentError("a whole number from 0 to 2147483647 is needed.");
	}
	return value;
}
