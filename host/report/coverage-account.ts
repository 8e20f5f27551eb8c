// What `lees coverage` answers: hazard by hazard what the rig's sensors cover, and whether it may
// be left alone. The schema documents the JSON; the account is the same in words.

import * as z from "zod";
import type { Rig } from "../../firmware/config/rig.ts";
import { coverageGaps, coverageOf } from "../../firmware/cycle/coverage.ts";

const coverageSchema = z.strictObject({
	rig: z.string(),
	sensors: z.array(z.string()).describe("optional channels that the rig file names"),
	mayBeLeftAlone: z.boolean().describe("as far as its sensors go; commissioning comes on top"),
	hazards: z.array(
		z.strictObject({
			hazard: z.string().describe("as in hardware/hazards.yaml"),
			words: z.string(),
			covered: z.boolean(),
			missing: z.array(z.string()).describe("channels, or rig file keys"),
			unattended: z.boolean().describe("nobody may leave the rig without it"),
		}),
	),
});

export type CoverageResult = z.infer<typeof coverageSchema>;

export function coverageResult(rig: Rig): CoverageResult {
	return coverageSchema.parse({
		rig: rig.rig,
		sensors: [...rig.sensors],
		mayBeLeftAlone: coverageGaps(rig).length === 0,
		hazards: coverageOf(rig),
	});
}

/** Lines within 80 columns. */
export function coverageLines({ rig, hazards, mayBeLeftAlone }: CoverageResult): string[] {
	const lines = [`What the sensors of ${rig} cover`, ""];
	for (const { hazard, covered, missing, unattended } of hazards) {
		const mark = covered ? "covered" : unattended ? "NOT COVERED" : "not covered";
		lines.push(`${hazard.padEnd(26)}${mark}`);
		for (const what of missing) lines.push(`${" ".repeat(26)}  fit ${what}`);
	}
	lines.push(
		"",
		mayBeLeftAlone
			? "It may be left alone, once it is commissioned and each plan is armed at the rig."
			: "Stay with it: orders that nobody attends are refused until this is fitted.",
		"Covered means seen by a sensor, not safe: hardware/HAZARDS.md says what remains.",
	);
	return lines;
}
