// What a shrunk story lacks of the drawn one, in a few words each: what a reader need not look at
// any more. Pure.

import { isDeepStrictEqual } from "node:util";
import type { Rig } from "../../firmware/config/rig.ts";
import type { Story } from "../../sim/bench/campaign/story-draw.ts";

const PARTS = ["fuel", "tube", "hose", "returnHose", "bowl", "element"] as const;
const MORE_PARTS = ["pump", "meter", "supply", "sensors", "setpoints"] as const;

/** @param usual the rig whose parts took the place of drawn ones */
export function whatWasCut(before: Story, after: Story, usual: Rig): string[] {
	const count = (what: string, of: (story: Story) => number): string[] =>
		of(after) < of(before) ? [`${what} ${of(before)} -> ${of(after)}`] : [];
	const { start } = after.scenario;
	const wasRough = before.scenario.start.sea !== undefined && start.sea === undefined;
	const same = [...PARTS, ...MORE_PARTS].filter(
		(part) =>
			isDeepStrictEqual(after.rig[part], usual[part]) &&
			!isDeepStrictEqual(before.rig[part], usual[part]),
	);
	return [
		...count("faults", ({ scenario }) => scenario.faults.length),
		...count("tanks", ({ rig }) => rig.tanks.length),
		...count("order, L", ({ order }) => order.litres),
		...count("order, min", ({ order }) => Math.ceil(order.pumpMinutes)),
		...(wasRough ? ["sea calm"] : []),
		...(same.length > 0 ? [`as in the example rig: ${same.join(", ")}`] : []),
	];
}
