// `lees emulate`: an emulated board with a simulated rig on a pseudo-terminal, until interrupted.
// No hardware: what plugs into the port cannot tell it from a board.

import { InputError } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { serveBoard } from "../../sim/emulated-board/serve.ts";
import type { WorldStart } from "../../sim/rig.ts";
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
	const trace = options.trace ?? `${options.link}.trace.jsonl`;
	const world = worldOf(rig, options.waterMl);
	const serving = await serveBoard(rig, loadPins(projectRoot), world, options.link, trace).catch(
		(error: unknown) => {
			const found = error instanceof Error ? error.message : String(error);
			throw new InputError([{ file: options.link, found, allowed: "a path for the port" }]);
		},
	);
	process.stdout.write(`board on ${options.link}, trace in ${trace}; interrupt to end\n`);
	const signal = new Promise<string>((resolve) => {
		for (const name of ["SIGINT", "SIGTERM"] as const) process.once(name, () => resolve(name));
	});
	await Promise.race([signal, serving.ended]);
	serving.close();
	return EXIT.good;
}

/** Tube and return in the first tank, which is six tenths full. */
export function worldOf(rig: Rig, waterMl: number): WorldStart {
	const [first] = rig.tanks;
	const name = first?.name ?? "";
	const fuelLitres = 0.6 * (first?.volumeLitres ?? 0);
	const freeWaterLitres = waterMl / 1000;
	const holds = { fuelLitres, freeWaterLitres, dispersedWaterPpm: 60, dirtGrams: 20 };
	return {
		tanks: new Map([[name, holds]]),
		tubeTank: name,
		returnTank: name,
		airC: 15,
		batteryVolts: rig.pump.ratedVolts + 0.7,
		waterOhm: 20_000,
		meterErrorPct: 0,
	};
}
