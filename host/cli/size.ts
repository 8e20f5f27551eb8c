// `lees size`: what a rig will do before anybody builds it. Account or JSON on standard output, the
// plot into a new file, progress on a terminal's standard error, complaints there too.

import { readInputFile } from "../../firmware/config/input-file.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { sizeAccount } from "../report/size-account.ts";
import { sizePlot } from "../report/size-plot.ts";
import { sizeRig } from "../sizing/size-rig.ts";
import { EXIT } from "./exit.ts";
import { writeNewFile } from "./new-file.ts";
import { printMarked } from "./paint.ts";
import { tell } from "./progress.ts";
import { statedSeed } from "./stated-seed.ts";

export interface SizeCommandOptions {
	readonly json?: boolean;
	readonly plot?: string;
	readonly seed?: number;
	readonly draws: number;
}

const USUAL_SEED = 1;

/** @returns the exit status; warnings are no failure @throws InputError */
export function size(rigFile: string, options: SizeCommandOptions): number {
	const rig = readRig(readInputFile(rigFile), rigFile);
	const { draws } = options;
	const seed = statedSeed("--seed", options.seed, USUAL_SEED);
	const sizing = sizeRig(rig, { seed, draws, progress });
	tell("");
	if (options.plot !== undefined) writeNewFile(options.plot, sizePlot(rig, sizing));
	if (options.json === true) {
		process.stdout.write(`${JSON.stringify(sizing.result, null, 2)}\n`);
	} else {
		printMarked(sizeAccount(sizing.result));
	}
	return EXIT.good;
}

const progress = (tank: string, celsius: number) => tell(`tank ${tank} at ${celsius} °C`);
