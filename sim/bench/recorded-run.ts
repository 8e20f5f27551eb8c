// A bench run as a kept run: each boot's tick inputs with the records that it wrote. Imports
// firmware's public entries.

import type { PinMap } from "../../firmware/config/pins.ts";
import type { KeptRun, Logic } from "../../firmware/log/kept-run.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import type { BenchRun, KeptBoot } from "./session.ts";

export function keptRunOf(
	scenario: string,
	run: BenchRun & { readonly boots: readonly KeptBoot[] },
	pins: PinMap,
	logic: Logic,
): KeptRun {
	const { board, seed, rig, records, boots } = run;
	return {
		head: {
			source: { type: "bench", scenario, board, seed },
			origin: { logic, rig, pins },
		},
		stretches: boots.map(({ nowMs, recordsBefore, tape }, i) => ({
			begin: { type: "boot", nowMs },
			tape,
			texts: records.slice(recordsBefore, boots[i + 1]?.recordsBefore).map(textOf),
		})),
	};
}
