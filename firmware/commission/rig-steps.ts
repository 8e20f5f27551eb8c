// Which steps of the catalogue a rig has: those whose sensors it is fitted with. Pure.

import type { Rig } from "../config/rig.ts";
import { type Step, stepRows, steps } from "./step-rows.ts";

export function stepsOf({ sensors }: Pick<Rig, "sensors">): Step[] {
	return steps.filter((step) => stepRows[step].needs.every((need) => sensors.includes(need)));
}
