// The hazard analysis as data: the schema of hardware/hazards.yaml and its reader. What the file
// says about trips, channels, scenarios and tests is held to them by test/tidy/hazards.test.ts; the
// page made from it is hazard-page.ts.

import * as z from "zod";
import { readDocument } from "../../firmware/config/document.ts";
import { InputError } from "../../firmware/config/input-error.ts";
import { tripCodes } from "../../firmware/cycle/trips.ts";

/** How many numbered safety requirements there are. */
export const POINTS = 20;

const id = z.string().regex(/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/, "small words joined by dashes");
const sentence = z.string().min(3).max(400);
const point = z.int().min(1).max(POINTS);
const path = z.string().regex(/^[a-z][\w./-]*$/, "a path from the project's top");

const proofSchema = z.union([
	z.strictObject({ scenario: id.describe("sim/bench/scenarios/NAME.bench.yaml") }),
	z.strictObject({
		test: z.string().regex(/^test\/[\w./-]+\.test\.ts$/, "test/….test.ts"),
		says: z.string().min(3).describe("part of the test's title"),
	}),
	z.strictObject({ proofTest: id.describe("one of proofTests") }),
]);

/** What stops or limits it when the first layer is dead. */
const layers = [
	"interlock",
	"dead-man",
	"run timer",
	"stop button",
	"other contact",
	"hardware switch",
	"isolator",
	"fuse",
	"relief",
	"thermal cut-out",
	"duty",
	"another trip",
	"cross-check",
	"arming",
	"horn",
	"tray",
	"anti-siphon hole",
	"bonding",
	"bowl's room",
	"element",
	"sample",
	"proof test",
	"site",
	"person",
] as const;

const hazardSchema = z
	.strictObject({
		hazard: id,
		cause: sentence,
		harms: z.array(z.enum(["people", "boat", "fuel", "sea"])).min(1),
		harm: sentence,
		detectedBy: z.array(id).min(1).describe("channels of the pin map, or another means"),
		coverage: z.array(id).optional().describe("rows of the coverage table, if not its own name"),
		trips: z.array(z.enum(tripCodes)),
		noTripBecause: sentence.optional().describe("given where there is no trip"),
		reaction: sentence.describe("what happens, with the time that it takes"),
		layers: z.array(z.enum(layers)).min(1),
		interlock: z.array(z.enum(tripCodes)).optional().describe("codes of the interlock's rules"),
		secondLayer: sentence,
		remainingRisk: sentence,
		proof: z.array(proofSchema),
		safety: z.array(point).min(1).describe("safety requirements that it answers"),
	})
	.refine(({ trips, noTripBecause }) => (trips.length === 0) === (noTripBecause !== undefined), {
		message: "noTripBecause where trips is empty, and only there",
	})
	.refine((row) => row.layers.includes("interlock") === (row.interlock !== undefined), {
		message: "interlock where layers names it, and only there",
	});

const proofTestSchema = z
	.strictObject({
		id,
		title: sentence,
		everyDays: z.int().min(1).max(3650).optional(),
		after: z.array(z.string().min(3).max(100)).min(1).optional().describe("after what"),
		do: sentence,
		seen: sentence.describe("what must be seen"),
		cautions: sentence,
	})
	.refine(({ everyDays, after }) => everyDays !== undefined || after !== undefined, {
		message: "everyDays, after or both",
	});

const requirementSchema = z
	.strictObject({
		point,
		asks: sentence,
		built: sentence.optional(),
		files: z.array(path).min(1).optional().describe("where it is built"),
		open: sentence.optional().describe("what of it is not there yet, and why"),
	})
	.refine(({ built, files }) => (built === undefined) === (files === undefined), {
		message: "built and files together",
	})
	.refine(({ built, open }) => built !== undefined || open !== undefined, {
		message: "built, open or both",
	});

const hazardsSchema = z.strictObject({
	invented: z.literal(true).describe("its figures are those of an invented rig"),
	cautions: z.array(sentence).min(1),
	hazards: z.array(hazardSchema).min(1),
	proofTests: z.array(proofTestSchema).min(1),
	requirements: z.array(requirementSchema).min(1),
});

export type HazardFile = z.infer<typeof hazardsSchema>;
export type Hazard = HazardFile["hazards"][number];
export type ProofTest = HazardFile["proofTests"][number];
export type Proof = Hazard["proof"][number];

/**
 * Reads and checks the hazard file's text.
 * @throws InputError naming file, line, column, key, what was found and what is allowed
 */
export function readHazards(text: string, file: string): HazardFile {
	const { value, problem } = readDocument(text, file, hazardsSchema);
	// Hazards and proof tests share the page's anchors, so that no two may have one name.
	const names = new Set<string>();
	const problems = [];
	const known = (name: string) => names.has(name) || !names.add(name);
	for (const [i, { hazard }] of value.hazards.entries()) {
		if (known(hazard)) problems.push(problem(["hazards", i, "hazard"], "a name used once"));
	}
	for (const [i, { id: name }] of value.proofTests.entries()) {
		if (known(name)) problems.push(problem(["proofTests", i, "id"], "a name used once"));
	}
	if (problems.length > 0) throw new InputError(problems);
	return value;
}
