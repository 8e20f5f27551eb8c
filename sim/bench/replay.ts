// Puts kept tick inputs through the controller again and looks for the first tick that decides
// otherwise. Exact, since the inputs are all that a tick may look at.

import type { Controller } from "../../firmware/controller.ts";
import { levels } from "../../firmware/log/tape.ts";
import type { ModelRun } from "./runner.ts";

export interface Difference {
	readonly tick: number;
	readonly what: "outputs" | "records";
	readonly was: string;
	readonly now: string;
}

/** @returns the first difference, or null when every tick decides the same */
export function replay(
	controller: Controller,
	{ tape, records, boot }: Pick<ModelRun, "tape" | "records" | "boot">,
): Difference | null {
	const booted = controller.boot(boot.nowMs, boot.recovery);
	let { state } = booted;
	let at = boot.recordsBefore + booted.records.length;
	for (let tick = 0; tick < tape.length; tick += 1) {
		const result = controller.tick(state, tape.inputsAt(tick));
		state = result.state;
		const was = tape.levelsAt(tick);
		const now = levels(result.outputs);
		if (was !== now) return { tick, what: "outputs", was: bits(was), now: bits(now) };
		for (const record of result.records) {
			const before = JSON.stringify(records[at]);
			const after = JSON.stringify(record);
			if (before !== after) return { tick, what: "records", was: before ?? "none", now: after };
			at += 1;
		}
	}
	const left = records[at];
	if (left === undefined) return null;
	return { tick: tape.length, what: "records", was: JSON.stringify(left), now: "none" };
}

const bits = (value: number): string => value.toString(2).padStart(5, "0");
