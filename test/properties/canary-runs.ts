// The canaries of canaries.yaml: reads them, and plays one with its rule in place or taken out. It
// is taken out of the controller's stages or of the world around it, never of its state.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import * as z from "zod";
import { readDocument } from "../../firmware/config/document.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import {
	type Controller,
	createController,
	STAGES,
	type TickResult,
} from "../../firmware/controller.ts";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { type FindingName, findingNames } from "../../firmware/sense/finding-names.ts";
import { planFindings } from "../../firmware/sense/findings.ts";
import { Watch } from "../../sim/bench/invariants.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { type Scenario, scenarioSchema } from "../../sim/bench/scenario.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import { sensorFaults } from "../../sim/sensor-faults.ts";
import { exampleRig, pins, root } from "../stories/world.ts";

const loose = z.record(z.string(), z.unknown());
const from = { fromSeconds: z.number().min(0) };

const storySchema = z.strictObject({
	rig: z.strictObject({ pump: loose.optional(), setpoints: loose.optional() }).optional(),
	litres: z.number().positive(),
	attended: z.boolean().default(false),
	start: loose.default({}),
	faults: z.array(loose).default([]),
	repeat: z
		.strictObject({
			...from,
			fault: z.string(),
			everySeconds: z.number().positive(),
			forSeconds: z.number().positive(),
			times: z.int().min(1),
		})
		.optional(),
	silence: z.strictObject({ ...from, channel: z.string() }).optional(),
	gap: z.strictObject({ ...from, seconds: z.number().positive() }).optional(),
	crew: z.array(loose).default([]),
	hoursMax: z.number().positive().default(2),
	expect: z.array(loose).min(1),
});
type Story = z.infer<typeof storySchema>;

const canary = {
	rule: z.string().min(3),
	scenario: z.string().optional(),
	story: storySchema.optional(),
	wire: z.enum(sensorFaults).optional().describe("a plain polish in which this wire is cut"),
	breaks: z.array(z.string()).min(1).optional(),
};
const oneStory = (row: { scenario?: unknown; story?: unknown; wire?: unknown }) =>
	[row.scenario, row.story, row.wire].filter((one) => one !== undefined).length === 1;
const storyWords = { message: "exactly one of scenario, story, wire" };

const fileSchema = z.strictObject({
	invented: z.literal(true),
	orderAtSeconds: z.number().positive(),
	findings: z.array(z.strictObject(canary).refine(oneStory, storyWords)),
	interlock: z.array(
		z
			.strictObject({
				...canary,
				detectors: z.array(z.enum(findingNames)),
				delays: z.array(z.string()).default([]),
				catches: z.enum(tripCodes),
			})
			.refine(oneStory, storyWords),
	),
	others: z.array(z.strictObject(canary).refine(oneStory, storyWords)),
});

const SOURCE = "test/properties/canaries.yaml";
export const canaries = readDocument(
	readFileSync(join(root, SOURCE), "utf8"),
	SOURCE,
	fileSchema,
).value;

export type Canary = (typeof canaries)["findings"][number];
export type SecondLayer = (typeof canaries)["interlock"][number];

/** What is taken out of the controller, or of the world. */
export interface Without {
	readonly findings?: readonly FindingName[];
	/** A time of the interlock's, or `stop`. */
	readonly interlock?: string;
	readonly delays?: readonly string[];
	readonly other?: string;
}

export interface Played {
	readonly run: BenchRun;
	/** Expectations and invariants that do not hold. */
	readonly broken: readonly string[];
	readonly found: readonly string[];
}

/** What breaks without the rule, in the words of the bench. */
export function breaksOf({ breaks, wire }: Canary): readonly string[] {
	return breaks ?? [`sensor-fault within ${WIRE_S} s of ${wire}`];
}

const GAP_LATE_S = 2;
/** A cut wire is found within so long: as said in the setpoints' reasons. */
const WIRE_S = 2;

export function play(row: Canary | SecondLayer, without: Without = {}): Played {
	const { scenario, rig, story } = sceneOf(row);
	// While no tick is completed nothing is counted either.
	const watch = new Watch(story?.gap === undefined ? 0 : GAP_LATE_S);
	const controller = aroundTicks(controllerWithout(rig, without), story);
	let ticked = false;
	const run = runScenario(scenario, rig, pins, {
		controller,
		afterStep: (model, doing) => {
			watch.afterStep(model, doing);
			if (without.other === undefined) return;
			const isDead = model.has("controller-hangs");
			if (isDead && !ticked && without.other === "beat") model.breaks("beat-forged");
			if (isDead && !ticked && without.other === "dead-man") model.breaks("k2-welded");
			ticked = isDead;
		},
	});
	const verdicts = sumUp(row.rule, run, 0).expectations.filter(({ held }) => !held);
	return {
		run,
		broken: [...verdicts.map(({ text }) => text), ...watch.broken(run)],
		found: verdicts.map(({ text, found }) => `${text}: ${found}`),
	};
}

function sceneOf(row: Canary): { scenario: Scenario; rig: Rig; story: Story | null } {
	if (row.scenario !== undefined) {
		return { ...loadScenario(findScenario(root, row.scenario)), story: null };
	}
	const cut = { fault: row.wire, uponState: "polishing", afterSeconds: 30 };
	const seen = { trip: "sensor-fault", withinSeconds: WIRE_S, after: row.wire };
	const plain = { litres: 3, faults: [cut], expect: [seen] };
	const story = row.story ?? storySchema.parse(plain);
	return { scenario: scenarioOf(story), rig: rigOf(story), story };
}

/** The example rig with every sensor, as the story changes it. */
function rigOf({ rig: change = {} }: Story): Rig {
	const rig = exampleRig();
	return {
		...rig,
		sensors: [...rig.sensors, "bowl-tap"],
		pump: { ...rig.pump, ...change.pump },
		setpoints: { ...rig.setpoints, ...change.setpoints } as Rig["setpoints"],
	};
}

function scenarioOf({ litres, attended, start, faults, repeat, crew, hoursMax, expect }: Story) {
	const { fault, fromSeconds = 0, everySeconds = 0, forSeconds, times = 0 } = repeat ?? {};
	const again = Array.from({ length: times }, (_, i) => {
		const atSeconds = fromSeconds + i * everySeconds;
		return { fault, atSeconds, forSeconds };
	});
	return scenarioSchema.parse({
		title: "a canary",
		invented: true,
		rig: "none",
		seed: 7,
		start: {
			commissioned: true,
			armed: true,
			tube: "port",
			return: "port",
			airC: 15,
			tanks: { port: { fuelLitres: 180 }, starboard: { fuelLitres: 180 } },
			...start,
		},
		orders: [
			{
				atSeconds: canaries.orderAtSeconds,
				polish: { tank: "port", litres, attended, sweepFirst: false },
			},
		],
		faults: [...faults, ...again],
		crew,
		hoursMax,
		expect,
	});
}

/** The controller with rows, rules, delays or edges left out. */
export function controllerWithout(rig: Rig, { findings = [], interlock, delays, other }: Without) {
	const plan = planFindings(rig, findings);
	return createController(rig, pins, {
		...STAGES,
		find: (_, ...rest) => STAGES.find(plan, ...rest),
		takeIn: (_, inputs) => STAGES.takeIn(plan, inputs),
		advance: (chart, before, events, nowMs) => {
			const kept = other === "tick-gap" ? events.filter(({ type }) => type !== other) : events;
			const result = STAGES.advance(chart, before, kept, nowMs);
			if (delays === undefined || result.cycle === before) return result;
			const isLeft = ({ event }: { event: string }) =>
				!delays.some((name) => event.includes(`.${name}.`));
			return {
				...result,
				cycle: { ...result.cycle, delays: result.cycle.delays.filter(isLeft) },
			};
		},
		interlock: (demanded, sensed, memory) => {
			if (interlock === undefined) return STAGES.interlock(demanded, sensed, memory);
			const nothing = interlock === "stop" ? { stop: "made" } : { [interlock]: 0 };
			return STAGES.interlock(demanded, { ...sensed, ...nothing } as typeof sensed, memory);
		},
	});
}

/** A channel that says nothing from a time on; a time in which no tick is completed. */
function aroundTicks(controller: Controller, story: Story | null): Controller {
	const { silence, gap } = story ?? {};
	let last: TickResult | null = null;
	return {
		...controller,
		tick: (before, inputs) => {
			const nowS = inputs.nowMs / 1000;
			const isStill =
				gap !== undefined && nowS >= gap.fromSeconds && nowS < gap.fromSeconds + gap.seconds;
			if (isStill && last !== null) return { ...last, records: [] };
			let { readings } = inputs;
			if (silence !== undefined && nowS >= silence.fromSeconds) {
				const old = readings[silence.channel];
				const ageMs = inputs.nowMs - silence.fromSeconds * 1000;
				if (old !== undefined) readings = { ...readings, [silence.channel]: { ...old, ageMs } };
			}
			last = controller.tick(before, { ...inputs, readings });
			return last;
		},
	};
}
