// The scenario file: a story that the bench plays and judges. Keys carry units. A reader writes a
// new bench test here without writing code; docs of each key stand beside it.

import * as z from "zod";
import { type Step, steps } from "../../firmware/commission/step-ways.ts";
import { allowedAt } from "../../firmware/config/schema-words.ts";
import { stateNames } from "../../firmware/cycle/effects.ts";
import { polishSchema, sweepSchema, transferSchema } from "../../firmware/cycle/order-schemas.ts";
import { planSchema } from "../../firmware/cycle/plan-schema.ts";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { localDateTimeSchema } from "../../firmware/local-time.ts";
import { type BuildFault, buildFaults } from "../build-faults.ts";
import { faults, invariants } from "../faults.ts";
import { crewActFields } from "./crew-schema.ts";
import { endings } from "./endings.ts";
import { withInstead } from "./near-miss.ts";

const seconds = z.number().min(0).max(1_000_000);
const stateName = z.enum(stateNames);

/** When something happens: at a time, or some time upon an event. One of the three. */
const whenFields = {
	atSeconds: seconds.optional().describe("at this time from the start of the scenario, s"),
	uponTrip: z.enum(tripCodes).optional().describe("when this trip opens"),
	uponState: stateName.optional().describe("when the controller comes into this state"),
	uponProof: z
		.enum(steps as [Step, ...Step[]])
		.optional()
		.describe("when this step of commissioning has passed"),
	afterSeconds: seconds.default(0).describe("so much after that trip, state or proof, s"),
	everyTime: z.boolean().default(false).describe("at each such event, not only the first"),
};

const triggers = ["atSeconds", "uponTrip", "uponState", "uponProof"] as const;
const oneTrigger = (when: { [Key in (typeof triggers)[number]]?: unknown }) =>
	triggers.filter((key) => when[key] !== undefined).length === 1;
const oneWork = (order: { polish?: unknown; transfer?: unknown; sweep?: unknown }) =>
	[order.polish, order.transfer, order.sweep].filter((one) => one !== undefined).length === 1;
const triggerWords = { message: `exactly one of ${triggers.join(", ")}` };

const tankStart = z.strictObject({
	fuelLitres: z.number().min(0).max(20_000).describe("fuel, L"),
	freeWaterLitres: z.number().min(0).max(1_000).default(0).describe("water on the floor, L"),
	dispersedWaterPpm: z
		.number()
		.min(0)
		.max(10_000)
		.default(60)
		.describe("water in the fuel, ppm by mass"),
	dirtGrams: z.number().min(0).max(10_000).default(0).describe("in suspension, g"),
	sludgeGrams: z.number().min(0).max(10_000).default(0).describe("on the floor, g of dirt"),
});

/** Things in the world that an expectation may count time from. */
export const truthEvents = ["water-at-probe", "stop-pressed", ...faults] as const;
export type TruthEvent = (typeof truthEvents)[number];

/** What of the truth an expectation may ask for. */
export const truthKeys = [
	"litresThroughPump",
	"litresReturned",
	"litresSpilled",
	"freeWaterPastBowlMl",
	"dispersedWaterPastElementMl",
	"dryPumpSeconds",
	"pumpOnSeconds",
	"supplyVoltsMin",
	"motorCaseMaxC",
] as const;
const range = {
	atLeast: z.number().optional().describe("lowest value that holds"),
	atMost: z.number().optional().describe("highest value that holds"),
};
const bounded = (limits: { atLeast?: number | undefined; atMost?: number | undefined }) =>
	(limits.atLeast ?? limits.atMost) !== undefined &&
	(limits.atLeast ?? -Infinity) <= (limits.atMost ?? Infinity);
const boundWords = { message: "atLeast, atMost or both, atLeast not above atMost" };

const after = z.enum(truthEvents).describe("in truth, and not when anybody noticed");

const expectation = z.union([
	z.strictObject({ outcome: z.enum(endings).describe("how it ends") }),
	z.strictObject({ trips: z.array(z.enum(tripCodes)).describe("all of them, in order") }),
	z.strictObject({
		trip: z.enum(tripCodes).describe("comes"),
		withinSeconds: seconds.describe("at the latest, s"),
		after,
	}),
	z.strictObject({
		pumpOffWithinSeconds: seconds.describe("off for good at the latest, s"),
		after,
	}),
	z.strictObject({
		state: stateName.describe("is entered"),
		times: z.int().min(0).describe("just so often"),
	}),
	z
		.strictObject({ logged: z.enum(["hours", "litres"]).describe("what the log says"), ...range })
		.refine(bounded, boundWords),
	z
		.strictObject({ truth: z.enum(truthKeys).describe("what the simulated rig did"), ...range })
		.refine(bounded, boundWords),
	z.strictObject({ litresWithinPct: z.number().min(0).describe("logged against truth, %") }),
	z.strictObject({ refusedBecause: z.string().min(1).describe("part of a reason given") }),
	z.strictObject({ stepsDue: z.int().min(0).describe("steps of commissioning due at the end") }),
	z.strictObject({
		stepFailed: z.enum(steps as [Step, ...Step[]]).describe("was begun and never passed"),
	}),
	z.strictObject({ invariant: z.enum(invariants).describe("holds in truth, all along") }),
]);

export type Expectation = Readonly<z.infer<typeof expectation>>;

const sea = z.strictObject({
	rollDeg: z.number().min(0).max(35).describe("to one side, highest waves, degrees"),
	periodS: z.number().min(1.5).max(20).default(5).describe("of one roll, s"),
});
const airC = z.number().min(-20).max(50).describe("mean of day and night, °C");
const airSwingK = z.number().min(0).max(20).describe("of day and night from it, K");
const heelDeg = z.number().min(-20).max(20).describe("the boat leans to the tube's side, degrees");
const chargerAmps = z.number().min(0).max(100).describe("sun or shore power, A");

/** What the weather may change on its way. */
const weatherFields = {
	sea: sea.optional().describe("left out: as it is"),
	heelDeg: heelDeg.optional(),
	airC: airC.optional(),
	airSwingK: airSwingK.optional(),
	fuelC: z.number().min(-20).max(50).optional().describe("of all fuel, at once, °C"),
	chargerAmps: chargerAmps.optional(),
};
type Weather = { readonly [Key in keyof typeof weatherFields]?: unknown };
const oneChange = (weather: Weather) =>
	(Object.keys(weatherFields) as Array<keyof Weather>).some((key) => weather[key] !== undefined);

export const scenarioSchema = z.strictObject({
	title: z.string().min(1).max(100).describe("what a skipper calls it"),
	story: z.string().max(1_000).default("").describe("what happens, in two or three sentences"),
	invented: z.literal(true).describe("demonstration data; no scenario is measured"),
	rig: z
		.string()
		.min(1)
		.describe(
			"path of the rig file from this file's folder, or the name of one that comes with it",
		),
	seed: z
		.int()
		.min(0)
		.max(2 ** 31 - 1)
		.describe("of all that is drawn: the sensors' noise, the sea's beginning"),
	start: z
		.strictObject({
			commissioned: z.boolean().describe("every stop of the rig has been proven"),
			armed: z.boolean().describe("whoever set it up holds the box's button at the start"),
			tube: z.string().describe("tank that the tube stands in"),
			return: z.string().describe("tank that the return hangs in"),
			airC: airC.default(15),
			airSwingK: airSwingK.default(0),
			fuelC: z.number().min(-20).max(50).optional().describe("left out: as the air, °C"),
			altitudeM: z.number().min(-400).max(4_000).default(0).describe("above the sea, m"),
			sea: sea.optional().describe("left out: calm"),
			heelDeg: heelDeg.optional(),
			localTime: localDateTimeSchema
				.optional()
				.describe("told over the link, as 2026-11-29T10:00; else unknown"),
			chargerAmps: chargerAmps.default(0),
			batteryVolts: z.number().min(8).max(32).default(12.7).describe("at rest, V"),
			waterOhm: z
				.number()
				.min(1)
				.max(1_000_000)
				.default(20_000)
				.describe("of the bowl's water between the probe's pins, Ω"),
			meterErrorPct: z
				.number()
				.min(-50)
				.max(50)
				.default(0)
				.describe("pulses more than the rig file says, %"),
			builtWrong: z
				.array(z.enum(buildFaults as [BuildFault, ...BuildFault[]]))
				.optional()
				.describe("mistakes of the build, which no trip finds; left out: none"),
			tanks: z.record(z.string(), tankStart).describe("by name: what each tank holds"),
		})
		.describe("the rig and its world as the story begins"),
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
		.default([])
		.describe("work ordered over the link"),
	plans: z
		.array(
			z
				.strictObject({ ...whenFields, plan: planSchema.describe("told at that moment") })
				.refine(oneTrigger, triggerWords),
		)
		.default([])
		.describe("work that is to begin by itself, as told over the link"),
	crew: z
		.array(z.strictObject({ ...whenFields, ...crewActFields }).refine(oneTrigger, triggerWords))
		.default([])
		.describe("what people do"),
	weather: z
		.array(
			z
				.strictObject({ ...whenFields, ...weatherFields })
				.refine(oneTrigger, triggerWords)
				.refine(oneChange, { message: `one or more of ${Object.keys(weatherFields).join(", ")}` }),
		)
		.default([])
		.describe("what changes of the world around: all else stays as it is"),
	faults: z
		.array(
			z
				.strictObject({
					...whenFields,
					fault: z.enum(faults).describe("what breaks"),
					size: z.number().optional().describe("in the fault's own unit; left out: the usual"),
					overSeconds: seconds.optional().describe("in which it grows, s; left out: at once"),
					forSeconds: seconds.optional().describe("mended after this, s; left out: stays"),
				})
				.refine(oneTrigger, triggerWords),
		)
		.default([])
		.describe("what breaks"),
	hoursMax: z.number().positive().max(200).describe("the bench stops there in any case, h"),
	expect: z.array(expectation).min(1).describe("what must have come true at the end"),
	nearly: z
		.array(
			z.strictObject({
				trip: z.enum(tripCodes).describe("must not come"),
				ifInstead: z
					.record(z.string(), z.union([z.number(), z.string(), z.boolean()]))
					.refine((places) => Object.keys(places).length > 0, { message: "one place or more" })
					.describe("other values at places of this file, as faults.0.size: with them it must"),
			}),
		)
		.default([])
		.describe("trips that were close"),
});

export type Scenario = Readonly<z.infer<typeof scenarioSchema>>;
export type When = Pick<
	Scenario["crew"][number],
	(typeof triggers)[number] | "afterSeconds" | "everyTime"
>;

/**
 * The scenario with the other values of a near miss in place.
 * @returns the place that is not there, or whose value does not fit, where it cannot be
 */
export function scenarioInstead(
	scenario: Scenario,
	{ ifInstead }: Pick<Scenario["nearly"][number], "ifInstead">,
): { scenario: Scenario } | { place: string; allowed: string } {
	const changed = withInstead(scenario, ifInstead);
	if ("place" in changed) {
		return { ...changed, allowed: "a place that this file has, as faults.0.size" };
	}
	const parsed = scenarioSchema.safeParse(changed.document);
	if (parsed.success) return { scenario: parsed.data };
	const [issue] = parsed.error.issues;
	const place = placeOf(issue?.path ?? [], ifInstead);
	return { place, allowed: issue === undefined ? "a value that fits" : allowedAt(issue) };
}

/** Which of the places a complaint at `path` is of. */
export function placeOf(
	path: readonly PropertyKey[],
	ifInstead: Readonly<Record<string, unknown>>,
) {
	const text = path.map(String).join(".");
	const places = Object.keys(ifInstead);
	return places.find((place) => text.startsWith(place)) ?? places[0] ?? "";
}
