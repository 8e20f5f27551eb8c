// The whole catalogue of the steps, ways and words, in the order in which a box is proven: what
// needs no fuel first, then what needs the pump, then each trip by hand. For command line, pages
// and tests; the controller takes the ways alone. Imports both.

import { restWords } from "./rest-words.ts";
import { runWords } from "./run-words.ts";
import { type Step, steps, stepWays } from "./step-ways.ts";
import type { StepRow, StepWords } from "./steps.ts";

export { type Step, steps } from "./step-ways.ts";

const words: Readonly<Record<Step, StepWords>> = { ...restWords, ...runWords };

export const stepRows = Object.fromEntries(
	steps.map((step) => [step, { proofTests: [], ...words[step], ...stepWays[step] }]),
) as Record<Step, StepRow>;
