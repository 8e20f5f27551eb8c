// `lees emulate`: an emulated board with a simulated rig on a pseudo-terminal, until interrupted.
// No hardware: what plugs into the port cannot tell it from a board.

import { lstatSync, readlinkSync } from "node:fs";
import { createInterface } from "node:readline";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { handWords } from "../../sim/emulated-board/hands.ts";
import { type Serving, serveBoard } from "../../sim/emulated-board/serve.ts";
import { standingWorld } from "../../sim/standing-world.ts";
import { EXIT } from "./exit.ts";
import { projectRoot } from "./root.ts";

export interface EmulateOptions {
	readonly link: string;
	readonly trace?: string;
	readonly waterMl: number;
}

/** Serves until a signal or the end of the port. @throws InputError */
export async function emulate(rigFile: string, options: EmulateOptions): Promise<number> {
	const rig = readRig(readInputFile(rigFile), rigFile);
	refuseWhatIsThere(options);
	const trace = options.trace ?? `${options.link}.trace.jsonl`;
	const world = standingWorld(rig, options.waterMl);
	const serving = await serveBoard(rig, loadPins(projectRoot), world, options.link, trace).catch(
		(error: unknown) => {
			const found = messageOf(error);
			throw new InputError([{ file: options.link, found, allowed: "a path for the port" }]);
		},
	);
	process.stdout.write(
		`board on ${options.link}, trace in ${trace}; type press, hold, stop, ... or help; ` +
			"interrupt to end\n",
	);
	hearHands(serving);
	const signal = new Promise<string>((resolve) => {
		for (const name of ["SIGINT", "SIGTERM"] as const) process.once(name, () => resolve(name));
	});
	await Promise.race([signal, serving.ended]);
	serving.close();
	process.stdin.destroy();
	return EXIT.good;
}

/** A word a line on standard input; its end ends nothing. */
function hearHands(serving: Serving): void {
	createInterface({ input: process.stdin }).on("line", (line) => {
		const word = line.trim();
		const known = Object.entries(handWords).map(([name, does]) => `${name}: ${does}\n`);
		const told = word === "" ? "" : word === "help" ? known.join("") : serving.lendHand(word);
		if (told !== null) {
			if (told !== "") process.stdout.write(`${told}\n`);
			return;
		}
		process.stderr.write(`${word} is none of these\n${known.join("")}`);
	});
}

/** Neither the port's path nor a trace that was asked for by name may replace somebody's file. */
function refuseWhatIsThere({ link, trace }: EmulateOptions): void {
	const there = (file: string) => lstatSync(file, { throwIfNoEntry: false });
	const refuse = (file: string, allowed: string) =>
		new InputError([{ file, found: "something that is there already", allowed }]);
	const port = there(link);
	if (
		port !== undefined &&
		!(port.isSymbolicLink() && readlinkSync(link).startsWith("/dev/pts/"))
	) {
		throw refuse(link, "a free path for the port");
	}
	if (trace !== undefined && there(trace) !== undefined) throw refuse(trace, "a new file");
}
