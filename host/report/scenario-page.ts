// The generated tables of sim/bench/SCENARIOS.md: keys of a scenario file, crew's acts, faults,
// expectations, made from the schema and the rows that the bench itself uses; and the JSON Schema
// for editors. Pure.

import * as z from "zod";
import { stateNames } from "../../firmware/cycle/effects.ts";
import { crewActions, crewActs } from "../../sim/bench/crew-schema.ts";
import { type Expectation, scenarioSchema, truthKeys } from "../../sim/bench/scenario.ts";
import { buildFaultRows, buildFaults } from "../../sim/build-faults.ts";
import { type Fault, faultRows, faults, invariants } from "../../sim/faults.ts";
import { faultsOf, isSensorFault, sensorChannels } from "../../sim/sensor-faults.ts";
import { type Json, jsonOf, keyRowsOf } from "./schema-rows.ts";
import { table } from "./tables.ts";

const json = jsonOf(scenarioSchema);
const at = (key: string): Json => json.properties?.[key] ?? {};
const entryOf = (key: string): Json => at(key).items ?? {};

/** The whole format as a JSON Schema, draft 2020-12, for editors. */
export function scenarioJsonSchema(): string {
	const { $schema, ...rest } = z.toJSONSchema(scenarioSchema, { io: "input" });
	const title = "A scenario of the bench";
	const description = "Made from the bench's own schema: SCENARIOS.md beside it tells the rest.";
	return `${JSON.stringify({ $schema, title, description, ...rest }, null, "\t")}\n`;
}

/** Keys that say when: they have a table of their own. */
const WHEN = ["atSeconds", "uponTrip", "uponState", "uponProof", "afterSeconds", "everyTime"];

function keys(object: Json, isWanted: (name: string) => boolean = () => true): string {
	const rows = keyRowsOf(object)
		.filter(({ name }) => isWanted(name))
		.map(({ name, kind, isOptional, preset, meaning }) => [
			code(name),
			kindWords(kind),
			isOptional ? (preset === null ? "may be left out" : code(preset)) : "must be given",
			meaning,
		]);
	return table([["key", "is", "left out", "means"], ...rows]);
}

/** In the words of a YAML file: its lists and works have sections of their own. */
function kindWords(kind: string): string {
	if (kind === "object") return "mapping";
	if (kind.startsWith("list of")) return "list";
	return kind.startsWith("an object of one key") ? "one of polish, transfer, sweep" : kind;
}

const ownKeys = (list: string) => keys(entryOf(list), (name) => !WHEN.includes(name));
const workKeys = (work: string) => keys(entryOf("orders").properties?.[work] ?? {});

function topTable(): string {
	return keys(json, (name) => !name.includes("."));
}

function startTable(): string {
	return keys(at("start"), (name) => !name.startsWith("tanks."));
}

function tankTable(): string {
	const { additionalProperties } = at("start").properties?.tanks ?? {};
	return keys(typeof additionalProperties === "object" ? additionalProperties : {});
}

function actTable(): string {
	const rows = crewActions.map((name) => {
		const act: { what: string; needs?: readonly string[]; may?: readonly string[] } =
			crewActs[name];
		const may = (act.may ?? []).map((detail) => `${code(detail)} or nothing`);
		const details = [...(act.needs ?? []).map(code), ...may];
		return [code(name), act.what, details.length === 0 ? "nothing" : details.join(", ")];
	});
	return table([["act", "somebody", "with"], ...rows]);
}

function sizeOf(fault: Fault): string {
	const { size } = faultRows[fault];
	if (size === undefined) return "none";
	return `${size.min} to ${size.max} ${size.unit}, usually ${size.usual}`;
}

function tripsOf(fault: Fault): string {
	const { trips, unseen } = faultRows[fault];
	return trips.length === 0 ? `none; ${unseen ?? ""}` : trips.map(code).join(", ");
}

function faultTable(): string {
	const rows = faults
		.filter((fault) => !isSensorFault(fault))
		.map((fault) => {
			const { what, size } = faultRows[fault];
			const isSlow = size !== undefined && size.atOnce !== true;
			return [code(fault), what, sizeOf(fault), isSlow ? "may grow" : "at once", tripsOf(fault)];
		});
	return table([["fault", "what breaks", "size", "comes", "one of these trips answers"], ...rows]);
}

/** A channel a row: its faults are called by it. */
function sensorFaultTable(): string {
	const rows = sensorChannels.map((channel) => {
		const { drifts, noisy } = faultsOf(channel);
		return [
			code(channel),
			drifts === null ? "cannot" : sizeOf(drifts),
			noisy === null ? "cannot" : sizeOf(noisy),
		];
	});
	return table([["channel", "`-drifts` by", "`-noisy` with"], ...rows]);
}

function buildFaultTable(): string {
	const rows = buildFaults.map((name) => {
		const { what, foundBy } = buildFaultRows[name];
		return [code(name), what, code(foundBy)];
	});
	return table([["mistake", "what is wrong", "found by the step"], ...rows]);
}

/** One of each kind, and when it holds. */
export const expectationExamples: ReadonlyArray<readonly [Expectation, string]> = [
	[{ outcome: "finished" }, "the story ends so: see below"],
	[{ trips: ["dry-run"] }, "these trips opened and no others, in this order; `[]`: none"],
	[
		{ trip: "dry-run", withinSeconds: 18, after: "tube-lifted" },
		"it opened within that time of what happened in the world",
	],
	[
		{ pumpOffWithinSeconds: 2, after: "stop-pressed" },
		"in truth the pump was off by then, and stayed off to the end",
	],
	[{ state: "held", times: 1 }, "the controller came into that state just so often"],
	[
		{ logged: "litres", atLeast: 180, atMost: 181 },
		"the log's account: `litres` or `hours` of the pump",
	],
	[{ truth: "litresSpilled", atMost: 0.25 }, "what the simulated rig did: see below"],
	[{ litresWithinPct: 2 }, "the log's litres are off by no more than that, % of the truth"],
	[{ refusedBecause: "not armed" }, "an order or acknowledgement was refused in words with these"],
	[{ stepsDue: 0 }, "so many steps of commissioning are due at the end"],
	[{ stepFailed: "horn" }, "that step of commissioning was begun, and has never passed"],
	[{ invariant: "no spill" }, "it held at each step in truth: see below"],
];

function expectationTable(): string {
	const rows = expectationExamples.map(([example, holds]) => [code(flow(example)), holds]);
	return table([["example", "holds when"], ...rows]);
}

/** Words that an expectation may name, a list each. */
function wordLists(): string {
	const endings = "`controller dead`, `tripped: TRIP`, `ended by trip: TRIP`";
	const words = (names: readonly string[]) => names.map(code).join(", ");
	const plain = ["finished", "stopped", "could not start", "no longer permitted"];
	return [
		`- **outcome**: ${words([...plain, "idle", "refused", "unfinished"])}, ${endings}.`,
		`- **state**: ${words(stateNames)}.`,
		`- **truth**: ${words(truthKeys)}.`,
		`- **after**: ${words(["water-at-probe", "stop-pressed"])}, or a fault of the file.`,
		`- **invariant**: ${words(invariants)}.`,
	].join("\n");
}

/** As one writes it in YAML on one line. */
function flow(value: unknown): string {
	if (Array.isArray(value)) return `[${value.map(flow).join(", ")}]`;
	if (typeof value !== "object" || value === null) return String(value);
	const pairs = Object.entries(value).map(([key, inner]) => `${key}: ${flow(inner)}`);
	return pairs.length === 1 ? (pairs[0] ?? "") : `{ ${pairs.join(", ")} }`;
}

const code = (text: string) => `\`${text}\``;

/**
 * All generated sections of the page by the names of their marks.
 * @param walk the text of the file that the page walks through
 */
export function scenarioSections(walk: string): Record<string, string> {
	return {
		walk: `\`\`\`yaml\n${walk.trimEnd()}\n\`\`\``,
		top: topTable(),
		start: startTable(),
		tanks: tankTable(),
		when: keys(entryOf("orders"), (name) => WHEN.includes(name)),
		polish: workKeys("polish"),
		transfer: workKeys("transfer"),
		sweep: workKeys("sweep"),
		plans: ownKeys("plans"),
		acts: actTable(),
		crew: ownKeys("crew"),
		weather: ownKeys("weather"),
		fault: ownKeys("faults"),
		faults: faultTable(),
		"sensor-faults": sensorFaultTable(),
		"build-faults": buildFaultTable(),
		expectations: expectationTable(),
		words: wordLists(),
		nearly: keys(entryOf("nearly")),
	};
}

/** The scenario that the page walks through. */
export const WALK_FILE = "sim/bench/scenarios/tube-out-of-the-fuel.bench.yaml";
