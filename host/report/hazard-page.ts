// The page of the hazard analysis, hardware/HAZARDS.md: made from hardware/hazards.yaml, the
// coverage table and the sensor faults that nothing sees. `npm run docs` writes it, a test holds it
// equal. Pure: data in, Markdown out. Its links lead within the page only.

import type { CoverageRow } from "../../firmware/cycle/coverage.ts";
import type { Hazard, HazardFile, Proof, ProofTest } from "./hazards.ts";

/** A sensor's fault that is dangerous and that nothing detects. */
export interface UndetectedRow {
	readonly sensor: string;
	readonly fault: string;
	/** States of the cycle in which it matters. */
	readonly states: string;
	/** What it hides, in words. */
	readonly hides: string;
	/** Id of the proof test that covers it. */
	readonly proofTest: string;
}

/** What the page is made of. */
export interface HazardPageInputs {
	readonly file: HazardFile;
	readonly coverage: Readonly<Record<string, CoverageRow>>;
	readonly undetected: readonly UndetectedRow[];
}

export function hazardPage({ file, coverage, undetected }: HazardPageInputs): string {
	const { cautions, hazards, proofTests, requirements } = file;
	const sections = [
		"# What can go wrong",
		INTRODUCTION,
		bullets(cautions),
		"## Overview",
		OVERVIEW,
		overviewTable(hazards),
		"## Each hazard",
		...hazards.map(hazardBlock),
		"## Proof tests",
		PROOF_TESTS,
		...proofTests.map((test) => proofTestBlock(test, hazards)),
		"## What no sensor sees",
		UNSEEN,
		bullets(
			hazards
				.filter(isUnseen)
				.map(({ hazard, noTripBecause = "" }) => `${anchor(hazard)}: ${noTripBecause}`),
		),
		undetectedTable(undetected),
		"## What a rig needs to be left alone",
		COVERAGE,
		coverageTable(coverage),
		"## Safety requirements",
		REQUIREMENTS,
		requirementTable(requirements, hazards),
	];
	return `${sections.join("\n\n")}\n`;
}

const INTRODUCTION = [
	"<!-- Made from hazards.yaml by `npm run docs`: change that, not this. -->",
	prose(
		"This is the hazard analysis of a portable rig that polishes diesel, and that may do so while",
		"nobody is aboard. For each thing that can go wrong it says what sees it, what stops the pump,",
		"what stops it when that is dead, what risk remains, and what proves it. Read it before you",
		"build, and again before you leave the rig alone for the first time.",
	),
	prose(
		"Seconds and litres are those of the default setpoints and of an invented example rig.",
		"Scenarios run on a simulated rig: they prove the controller's logic, not your wiring, your",
		"sensors or your hoses. Those are proven by the proof tests, which only you can do.",
	),
	"**Before anything else:**",
].join("\n\n");

const OVERVIEW = prose(
	"A trip latches: the pump stays off until a person has acknowledged it. The second layer is what",
	"is left when the first one is dead. The interlock reads the same sensors as the trips: it",
	"covers a controller that errs, not a sensor that lies.",
);

const PROOF_TESTS = prose(
	"Done by a person, at the rig, with the stop button in reach. Each is done once before the first",
	"unattended order, and later as often as it says. Note date, result and initials. One that fails",
	"ends unattended use until the cause is mended and the test passed.",
);

const UNSEEN = prose(
	"No trip stops the pump for these. A person sees them, a proof test finds them, or nobody does",
	"in time: what stands against each is in its block above.",
);

const UNDETECTED = prose(
	"Beside them, a sensor that fails at a good value looks like a good sensor. These faults are",
	"dangerous, and nothing detects them while the pump runs; take a sensor for stuck until its",
	"proof test has moved it. All other faults, of every sensor in every state, stop the pump, are",
	"known for what they are, or do no harm: `sensor-faults.yaml` has the whole table, with reasons.",
);

const COVERAGE = prose(
	"The controller works this out from the rig file. While a needed sensor is missing it cannot be",
	"armed, and refuses each order that nobody attends. It takes an attended one: the person who",
	"stays is the cover. Attending waives this table, and never a trip.",
);

const REQUIREMENTS = prose(
	"Where each is built, what is open, and the hazards that it is there for. Circuits and drawings",
	"are on the pages beside this one, simulated and held to rules; nobody has built the box yet. A",
	"rig meets these rows once its own steps of commissioning have passed, and not before.",
);

function overviewTable(hazards: readonly Hazard[]): string {
	const rows = hazards.map(({ hazard, trips, reaction, layers }) => [
		anchor(hazard),
		trips.length === 0 ? "none" : trips.map(code).join(", "),
		reaction,
		layers.join(", "),
	]);
	return table([["hazard", "trip", "reaction", "second layer"], ...rows]);
}

function hazardBlock(row: Hazard): string {
	const { hazard, cause, harms, harm, detectedBy, trips, reaction, interlock } = row;
	const rules = interlock === undefined ? "" : ` (Interlock: ${interlock.map(code).join(", ")}.)`;
	const reacts = reaction.startsWith("none") ? "" : ` ${capital(reaction)}.`;
	const isTrip = trips.length > 0;
	return [
		`### ${hazard}`,
		"",
		cause,
		"",
		`- **Harm** (${harms.join(", ")}): ${harm}`,
		`- **Seen by**: ${detectedBy.join(", ")}.`,
		isTrip
			? `- **Trip** ${trips.map(code).join(", ")}: ${reaction}.`
			: `- **No trip**: ${row.noTripBecause ?? ""}${reacts}`,
		`- **${isTrip ? "If that is dead" : "Against it"}**: ${row.secondLayer}${rules}`,
		`- **What remains**: ${row.remainingRisk}`,
		`- **Proof**: ${row.proof.map(proofWords).join("; ")}.`,
	].join("\n");
}

function proofWords(proof: Proof): string {
	if ("scenario" in proof) return `scenario ${code(proof.scenario)}`;
	if ("proofTest" in proof) return `proof test ${anchor(proof.proofTest)}`;
	return `${code(proof.test)}, "${proof.says}"`;
}

function proofTestBlock(test: ProofTest, hazards: readonly Hazard[]): string {
	const covers = hazards.filter(({ proof }) =>
		proof.some((one) => "proofTest" in one && one.proofTest === test.id),
	);
	return [
		`### ${test.id}`,
		"",
		`${test.title}.`,
		"",
		`- **When**: ${whenWords(test)}.`,
		`- **Do**: ${test.do}`,
		`- **Must be seen**: ${test.seen}`,
		`- **Caution**: ${test.cautions}`,
		`- **For**: ${covers.map(({ hazard }) => anchor(hazard)).join(", ")}.`,
	].join("\n");
}

/** "every 30 days; each change of the element" */
function whenWords({ everyDays, after = [] }: ProofTest): string {
	const days = everyDays === undefined ? [] : [`every ${everyDays} days`];
	return [...days, ...after].join("; ");
}

/** Seen by a person, or by nobody in time. */
export const isUnseen = ({ trips, detectedBy }: Hazard) =>
	trips.length === 0 && detectedBy.includes("person");

/** The sensor faults that are dangerous and undetected. */
export function undetectedTable(rows: readonly UndetectedRow[]): string {
	const cells = rows.map(({ sensor, fault, states, hides, proofTest }) => [
		sensor,
		fault,
		states,
		hides,
		anchor(proofTest),
	]);
	const head = ["sensor", "fault", "while", "what it hides", "proof test"];
	return `${UNDETECTED}\n\n${table([head, ...cells])}`;
}

function coverageTable(coverage: Readonly<Record<string, CoverageRow>>): string {
	const rows = Object.entries(coverage).map(([hazard, row]) => [
		anchor(hazard),
		row.words,
		row.needs.join(", ") + (row.lacks === undefined ? "" : ", and more: see its hazard"),
		row.unattended ? "needed" : "helps",
	]);
	return table([["hazard", "without it", "sensors", "to be left alone"], ...rows]);
}

function requirementTable(
	requirements: HazardFile["requirements"],
	hazards: readonly Hazard[],
): string {
	const rows = requirements.map(({ point, asks, built, files = [], open }) => {
		const where = built === undefined ? "nothing" : `${built} ${files.map(code).join(", ")}`;
		const answered = hazards.filter(({ safety }) => safety.includes(point));
		return [point, asks, where, open ?? "nothing", answered.map(({ hazard }) => hazard).join(", ")];
	});
	return table([["no.", "asks", "built", "open", "hazards"], ...rows]);
}

/** Lines of this file as one paragraph. */
function prose(...lines: string[]): string {
	return lines.join(" ");
}

/** The first row is the head. */
function table([head = [], ...rows]: ReadonlyArray<ReadonlyArray<string | number>>): string {
	const line = (cells: ReadonlyArray<string | number>) => `| ${cells.join(" | ")} |`;
	return [line(head), line(head.map(() => "---")), ...rows.map(line)].join("\n");
}

const anchor = (name: string) => `[${name}](#${name})`;
const code = (text: string) => `\`${text}\``;
const bullets = (lines: readonly string[]) => lines.map((line) => `- ${line}`).join("\n");
const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
