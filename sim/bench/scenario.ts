// The scenario file: a story that the bench plays and judges. Keys carry units. A reader writes a
// new bench test here without writing code; docs of each key stand beside it.

import { z } from "zod";
import { readDocument } from "../../firmware/config/document.ts";
import { InputError } from "../../firmware/config/input-error.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { stateNames } from "../../firmware/cycle/effects.ts";
import { polishSchema, sweepSchema, transferSchema } from "../../firmware/cycle/order-schemas.ts";
import { planSchema } from "../../firmware/cycle/plan-schema.ts";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { localDateTimeSchema } from "../../firmware/local-time.ts";
import { type Fault, faultRows, faults, invariants } from "../faults.ts";
import { crewActFields, detailProblem } from "./crew-schema.ts";
import { withInstead } from "./near-miss.ts";

const seconds = z.number().min(0).max(1_000_000);
const stateName = z.enum(stateNames);

/** When something happens: at a time, or some time upon an event. One of the three. */
const whenFields = {
	atSeconds: seconds.optional().describe("from the start of the scenario"),
	uponTrip: z.enum(tripCodes).optional(),
	uponState: stateName.optional(),
	afterSeconds: seconds.default(0).describe("after the event"),
	everyTime: z.boolean().default(false).describe("at each such event, not only the first"),
};

const oneTrigger = (when: { atSeconds?: unknown; uponTrip?: unknown; uponState?: unknown }) =>
	[when.atSeconds, when.uponTrip, when.uponState].filter((one) => one !== undefined).length === 1;
const oneWork = (order: { polish?: unknown; transfer?: unknown; sweep?: unknown }) =>
	[order.polish, order.transfer, order.sweep].filter((one) => one !== undefined).length === 1;
const triggerWords = { message: "exactly one of atSeconds, uponTrip, uponState" };

const tankStart = z.strictObject({
	fuelLitres: z.number().min(0).max(20_000),
	freeWaterLitres: z.number().min(0).max(1_000).default(0),
	dispersedWaterPpm: z.number().min(0).max(10_000).default(60),
	dirtGrams: z.number().min(0).max(10_000).default(0).describe("in suspension, g"),
	sludgeGrams: z.number().min(0).max(10_000).default(0).describe("on the floor, g of dirt"),
});

/** Things in the world that an expectation may count time from. */
export const truthEvents = ["water-at-probe", "stop-pressed", ...faults] as const;
export type TruthEvent = (typeof truthEvents)[number];

const truthKey = z.enum([
	"litresThroughPump",
	"litresReturned",
	"litresSpilled",
	"freeWaterPastBowlMl",
	"dispersedWaterPastElementMl",
	"dryPumpSeconds",
	"pumpOnSeconds",
	"supplyVoltsMin",
	"motorCaseMaxC",
]);
const range = { atLeast: z.number().optional(), atMost: z.number().optional() };
const bounded = (limits: { atLeast?: unknown; atMost?: unknown }) =>
	limits.atLeast !== undefined || limits.atMost !== undefined;
const boundWords = { message: "atLeast, atMost or both" };

const expectation = z.union([
	z.strictObject({ outcome: z.string().min(1) }),
	z.strictObject({ trips: z.array(z.enum(tripCodes)).describe("all of them, in order") }),
	z.strictObject({
		trip: z.enum(tripCodes),
		withinSeconds: seconds,
		after: z.enum(truthEvents),
	}),
	z.strictObject({ pumpOffWithinSeconds: seconds, after: z.enum(truthEvents) }),
	z.strictObject({ state: stateName, times: z.int().min(0) }),
	z.strictObject({ logged: z.enum(["hours", "litres"]), ...range }).refine(bounded, boundWords),
	z.strictObject({ truth: truthKey, ...range }).refine(bounded, boundWords),
	z.strictObject({ litresWithinPct: z.number().min(0).describe("logged against truth") }),
	z.strictObject({ refusedBecause: z.string().min(1).describe("part of a reason given") }),
	z.strictObject({ invariant: z.enum(invariants).describe("holds in truth, all along") }),
]);

export type Expectation = Readonly<z.infer<typeof expectation>>;

const sea = z.strictObject({
	rollDeg: z.number().min(0).max(35).describe("to one side, highest waves, degrees"),
	periodS: z.number().min(1.5).max(20).default(5).describe("of one roll, s"),
});
const airC = z.number().min(-20).max(50).describe("mean of day and night, °C");
const airSwingK = z.number().min(0).max(20).describe("of day and night from it, K");
const chargerAmps = z.number().min(0).max(100).describe("sun or shore power, A");

/** What the weather may change on its way. */
const weatherFields = {
	sea: sea.optional(),
	airC: airC.optional(),
	airSwingK: airSwingK.optional(),
	fuelC: z.number().min(-20).max(50).optional().describe("of all fuel, at once, °C"),
	chargerAmps: chargerAmps.optional(),
};
type Weather = { readonly [Key in keyof typeof weatherFields]?: unknown };
const oneChange = (weather: Weather) =>
	(Object.keys(weatherFields) as Array<keyof Weather>).some((key) => weather[key] !== undefined);

export const scenarioSchema = z.strictObject({
	title: z.string().min(1).max(100),
	story: z.string().max(1_000).default(""),
	invented: z.literal(true).describe("demonstration data; no scenario is measured"),
	rig: z.string().min(1).describe("path of the rig file, from this file's folder"),
	seed: z
		.int()
		.min(0)
		.max(2 ** 31 - 1),
	start: z.strictObject({
		commissioned: z.boolean(),
		armed: z.boolean(),
		tube: z.string().describe("tank that the tube stands in"),
		return: z.string().describe("tank that the return hangs in"),
		airC: airC.default(15),
		airSwingK: airSwingK.default(0),
		fuelC: z.number().min(-20).max(50).optional().describe("left out: as the air, °C"),
		altitudeM: z.number().min(-400).max(4_000).default(0).describe("above the sea, m"),
		sea: sea.optional(),
		localTime: localDateTimeSchema.optional().describe("told over the link; else it is unknown"),
		chargerAmps: chargerAmps.default(0),
		batteryVolts: z.number().min(8).max(32).default(12.7),
		waterOhm: z.number().min(1).max(1_000_000).default(20_000),
		meterErrorPct: z.number().min(-50).max(50).default(0),
		tanks: z.record(z.string(), tankStart),
	}),
	orders: z
		.array(
			z
				.strictObject({
					...whenFields,
					polish: polishSchema.optional(),
					transfer: transferSchema.optional(),
					sweep: sweepSchema.optional(),
				})
				.refine(oneTrigger, triggerWords)
				.refine(oneWork, { message: "exactly one of polish, transfer, sweep" }),
		)
		.default([]),
	plans: z
		.array(z.strictObject({ ...whenFields, plan: planSchema }).refine(oneTrigger, triggerWords))
		.default([])
		.describe("work that is to begin by itself, as told over the link"),
	crew: z
		.array(z.strictObject({ ...whenFields, ...crewActFields }).refine(oneTrigger, triggerWords))
		.default([]),
	weather: z
		.array(
			z
				.strictObject({ ...whenFields, ...weatherFields })
				.refine(oneTrigger, triggerWords)
				.refine(oneChange, { message: `one or more of ${Object.keys(weatherFields).join(", ")}` }),
		)
		.default([]),
	faults: z
		.array(
			z
				.strictObject({
					...whenFields,
					fault: z.enum(faults),
					size: z.number().optional().describe("in the fault's own unit; left out: the usual"),
					overSeconds: seconds.optional().describe("in which it grows; left out: at once"),
					forSeconds: seconds.optional().describe("mended after this; left out: stays"),
				})
				.refine(oneTrigger, triggerWords),
		)
		.default([]),
	hoursMax: z.number().positive().max(200).describe("the bench stops there in any case"),
	expect: z.array(expectation).min(1),
	nearly: z
		.array(
			z.strictObject({
				trip: z.enum(tripCodes).describe("must not come"),
				ifInstead: z
					.record(z.string(), z.union([z.number(), z.string(), z.boolean()]))
					.describe("other values at places of this file, as faults.0.size: with them it must"),
			}),
		)
		.default([]),
});

export type Scenario = Readonly<z.infer<typeof scenarioSchema>>;
export type When = Pick<
	Scenario["crew"][number],
	"atSeconds" | "uponTrip" | "uponState" | "afterSeconds" | "everyTime"
>;

/**
 * Reads and checks a scenario's text; its rig is read by `loadRig` from the path it names.
 * @throws InputError naming file, line, column, key, what was found and what is allowed
 */
export function readScenario(
	text: string,
	file: string,
	loadRig: (path: string) => Rig,
): { scenario: Scenario; rig: Rig } {
	const { value: scenario, problem } = readDocument(text, file, scenarioSchema);
	const rig = loadRig(scenario.rig);
	const names = rig.tanks.map((tank) => tank.name);
	const list = names.join(", ");
	const problems = [];
	for (const end of ["tube", "return"] as const) {
		if (!Object.hasOwn(scenario.start.tanks, scenario.start[end])) {
			problems.push(problem(["start", end], "a tank that start.tanks fills"));
		}
	}
	scenario.orders.forEach(({ polish, transfer, sweep }, i) => {
		for (const [key, tank] of [
			[["polish", "tank"], polish?.tank],
			[["transfer", "from"], transfer?.from],
			[["transfer", "to"], transfer?.to],
			[["sweep", "tank"], sweep?.tank],
		] as const) {
			if (tank === undefined || names.includes(tank)) continue;
			problems.push(problem(["orders", i, ...key], `one of ${list}`));
		}
	});
	scenario.faults.forEach(({ fault, size, overSeconds }, i) => {
		const words = sizeWords(fault, size);
		if (words !== null) problems.push(problem(["faults", i, "size"], words));
		const { size: row } = faultRows[fault];
		if (overSeconds !== undefined && (row === undefined || row.atOnce)) {
			problems.push(problem(["faults", i, "overSeconds"], `left out: ${fault} comes at once`));
		}
	});
	scenario.crew.forEach((act, i) => {
		const wrong = detailProblem(act);
		if (wrong !== null) problems.push(problem(["crew", i, wrong.key], wrong.allowed));
		if (act.tank !== undefined && !Object.hasOwn(scenario.start.tanks, act.tank)) {
			problems.push(problem(["crew", i, "tank"], "a tank that start.tanks fills"));
		}
	});
	scenario.nearly.forEach((miss, i) => {
		const instead = scenarioInstead(scenario, miss);
		if ("scenario" in instead) return;
		const allowed = "a place of this file, and a value that fits there";
		problems.push(problem(["nearly", i, "ifInstead", instead.place], allowed));
	});
	for (const [name, tank] of Object.entries(scenario.start.tanks)) {
		const volume = rig.tanks.find((candidate) => candidate.name === name)?.volumeLitres;
		if (volume === undefined) problems.push(problem(["start", "tanks", name], `one of ${list}`));
		else if (tank.fuelLitres + tank.freeWaterLitres > volume) {
			problems.push(problem(["start", "tanks", name], `no more than the tank's ${volume} L`));
		}
	}
	if (problems.length > 0) throw new InputError(problems);
	return { scenario, rig };
}

/**
 * The scenario with the other values of a near miss in place.
 * @returns the place that is not there, or whose value does not fit, where it cannot be
 */
export function scenarioInstead(
	scenario: Scenario,
	{ ifInstead }: Pick<Scenario["nearly"][number], "ifInstead">,
): { scenario: Scenario } | { place: string } {
	const changed = withInstead(scenario, ifInstead);
	if ("place" in changed) return changed;
	const parsed = scenarioSchema.safeParse(changed.document);
	if (parsed.success) return { scenario: parsed.data };
	const path = parsed.error.issues[0]?.path.join(".") ?? "";
	const places = Object.keys(ifInstead);
	return { place: places.find((place) => path.startsWith(place)) ?? places[0] ?? "" };
}

/** What a fault's size may be, where it is not that. */
function sizeWords(fault: Fault, size: number | undefined): string | null {
	if (size === undefined) return null;
	const { size: row } = faultRows[fault];
	if (row === undefined) return `left out: ${fault} has no size`;
	const fits = size >= row.min && size <= row.max;
	return fits ? null : `${row.min} to ${row.max} ${row.unit}`;
}
