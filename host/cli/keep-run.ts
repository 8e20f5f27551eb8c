// `lees bench --keep`: the run as a file that `lees replay` decides again. Nothing that is there is
// overwritten.

import { writeFileSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import { encodeRun } from "../../firmware/log/kept-run.ts";
import { keptRunOf } from "../../sim/bench/recorded-run.ts";
import type { ModelRun } from "../../sim/bench/runner.ts";
import { logicHere } from "./logic-here.ts";

/** @throws InputError when the file is there, or cannot be written */
export function keepRun(file: string, scenario: string, run: ModelRun, pins: PinMap): void {
	const bytes = encodeRun(keptRunOf(scenario, run, pins, logicHere()));
	try {
		writeFileSync(file, bytes, { flag: "wx" });
	} catch (error) {
		const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
		const found = code === "EEXIST" ? "a file that is there already" : code;
		throw new InputError([{ file, found, allowed: "a new file in a folder that is there" }]);
	}
}
