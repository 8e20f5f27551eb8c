// The generated parts of the build guide (hardware/README.md) and of the page of upkeep
// (hardware/UPKEEP.md): what the box cannot protect against, from the hazard analysis, and what is
// proven again when, from the catalogue of commissioning. `npm run docs` writes them, a test holds
// them equal. Pure: data in, Markdown out.

import { type Part, partRows, parts } from "../../firmware/commission/parts.ts";
import { type Step, stepRows, steps } from "../../firmware/commission/step-rows.ts";
import type { StepRow } from "../../firmware/commission/steps.ts";
import { isUnseen, type UndetectedRow } from "./hazard-page.ts";
import type { Hazard } from "./hazards.ts";

export const GUIDE_FILE = "hardware/README.md";
export const UPKEEP_FILE = "hardware/UPKEEP.md";

export interface GuideInputs {
	readonly hazards: readonly Hazard[];
	readonly undetected: readonly UndetectedRow[];
}

/** Of each page its sections by name. */
export function guideSections(inputs: GuideInputs): Record<string, Record<string, string>> {
	return {
		[GUIDE_FILE]: { unprotected: unprotected(inputs) },
		[UPKEEP_FILE]: { retests: retests(), changes: changes() },
	};
}

function unprotected({ hazards, undetected }: GuideInputs): string {
	const unseen = hazards.filter(isUnseen).map((row) => {
		const { hazard, cause, noTripBecause = "", secondLayer, remainingRisk } = row;
		const link = `[${hazard}](HAZARDS.md#${hazard})`;
		const against = `Against it: ${secondLayer} What remains: ${remainingRisk}`;
		return `- **${cause}** ${noTripBecause} ${against} (${link})`;
	});
	const lying = undetected.map(({ sensor, fault, hides, proofTest }) => [
		`\`${sensor}\` ${fault}`,
		hides,
		`[${proofTest}](HAZARDS.md#${proofTest})`,
	]);
	return [
		"Nothing in the box stops the pump for these:",
		unseen.join("\n"),
		"And a sensor that fails at a good value looks like a good one. Until its test has moved it, " +
			"these hide what they are there for:",
		table([["sensor and fault", "what it hides", "found by"], ...lying]),
	].join("\n\n");
}

function retests(): string {
	const due = steps.flatMap((step) => {
		const { everyDays } = stepRows[step];
		return everyDays === null ? [] : [{ step, everyDays }];
	});
	// A stable sort: within an interval the order of the catalogue.
	const soonestFirst = [...due].sort((a, b) => a.everyDays - b.everyDays);
	const rows = soonestFirst.map(({ step, everyDays }) => {
		const { title, proofTests, needs } = stepRows[step];
		const proves = proofTests.map((name) => `[${name}](HAZARDS.md#${name})`).join(", ");
		return [`${everyDays} days`, `\`${step}\``, `${title}${fitted(needs)}`, proves || "its trip"];
	});
	return table([["every", "step", "what is proven", "proof test"], ...rows]);
}

function changes(): string {
	const rows = parts.map((part) => {
		const due = stepsOf(part).map((step) => `\`${step}\``);
		return [`\`${part}\``, partRows[part].words, due.join(", ")];
	});
	return table([["PART", "what was changed", "due again"], ...rows]);
}

/** The steps that a change of this part makes due again. */
function stepsOf(part: Part): Step[] {
	return steps.filter((step) => stepRows[step].parts.includes(part));
}

function fitted(needs: StepRow["needs"]): string {
	return needs.length === 0 ? "" : ` (where fitted: ${needs.join(", ")})`;
}

/** The first row is the head. */
function table([head = [], ...rows]: ReadonlyArray<readonly string[]>): string {
	const line = (cells: readonly string[]) => `| ${cells.join(" | ")} |`;
	return [line(head), line(head.map(() => "---")), ...rows.map(line)].join("\n");
}
