// The catalogue of the steps, in the order in which a box is proven: what needs no fuel first, then
// what needs the pump, then each trip by hand. Imports the rows and types.

import { restRows } from "./rest-rows.ts";
import { runRows } from "./run-rows.ts";
import type { StepRow } from "./steps.ts";

const rows = { ...restRows, ...runRows } as const;

export type Step = keyof typeof rows;
export const steps = Object.keys(rows) as Step[];
export const stepRows: Readonly<Record<Step, StepRow>> = rows;
