// `lees bench --keep`: the run as a file that `lees replay` decides again. Nothing that is there is
// overwritten.

import type { PinMap } from "../../firmware/config/pins.ts";
import { encodeRun } from "../../firmware/log/kept-run.ts";
import { keptRunOf } from "../../sim/bench/recorded-run.ts";
import type { ModelRun } from "../../sim/bench/runner.ts";
import { logicHere } from "./logic-here.ts";
import { writeNewFile } from "./new-file.ts";

/** @throws InputError when the file is there, or cannot be written */
export function keepRun(file: string, scenario: string, run: ModelRun, pins: PinMap): void {
	writeNewFile(file, encodeRun(keptRunOf(scenario, run, pins, logicHere())));
}
