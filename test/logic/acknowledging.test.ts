// The rules over what the statechart remembers, first part: open trips, their acknowledgement, what
// stands against going on, and how often a held order may go on by itself.

import { describe, expect, it } from "vitest";
import {
	acknowledgeBlockers,
	type CycleContext,
	contextAtBoot,
	goOnBlockers,
	mayHoldAgain,
	type OpenTrip,
	orderSurvives,
	withResumed,
	withTrip,
} from "../../firmware/cycle/context.ts";
import type { Present } from "../../firmware/cycle/events.ts";
import type { Place, TripCode } from "../../firmware/cycle/trips.ts";
import { plainOrder as order, wellPresent as present } from "../stories/well.ts";

const HOUR_MS = 3_600_000;

const trip = (code: TripCode, change: Partial<OpenTrip> = {}): OpenTrip => ({
	code,
	cause: "some cause",
	atMs: 1_000,
	drainSeen: false,
	...change,
});
const tripped = (...open: OpenTrip[]): CycleContext => ({ ...contextAtBoot, order, trips: open });

describe("open trips", () => {
	it("stand worst first, whatever came first", () => {
		let context = contextAtBoot;
		for (const code of ["time-limit", "relay-stuck", "water-in-bowl"] as const) {
			context = { ...context, ...withTrip(context, code, "some cause", 1_000) };
		}
		expect(context.trips).toEqual([trip("relay-stuck"), trip("water-in-bowl"), trip("time-limit")]);
	});

	it("are one a code: the new one takes the old one's place, its drain forgotten", () => {
		const context = tripped(trip("water-in-bowl", { drainSeen: true }), trip("dry-run"));
		expect(withTrip(context, "water-in-bowl", "more", 2_000)).toEqual({
			trips: [
				{ code: "water-in-bowl", cause: "more", atMs: 2_000, drainSeen: false },
				trip("dry-run"),
			],
		});
	});

	it("keep a drain that the log tells of", () => {
		const { trips = [] } = withTrip(contextAtBoot, "water-in-bowl", "some cause", 1_000, true);
		expect(trips).toEqual([trip("water-in-bowl", { drainSeen: true })]);
	});
});

describe("an order survives its trips", () => {
	it.each<[string, CycleContext, boolean]>([
		["where there are none", tripped(), true],
		["where all let it go on", tripped(trip("water-in-bowl"), trip("dry-run")), true],
		["not where one ends it", tripped(trip("leak"), trip("dry-run")), false],
		["not where the last ends it", tripped(trip("dry-run"), trip("time-limit")), false],
		["not where there is none", { ...tripped(trip("dry-run")), order: null }, false],
	])("%s", (_, context, survives) => {
		expect(orderSurvives(context)).toBe(survives);
	});
});

describe("an acknowledgement", () => {
	const refused = (
		context: CycleContext,
		change: Partial<Present> = {},
		from: Place = "box",
		pressedMs = 5_000,
	) => acknowledgeBlockers(context, { from, pressedMs, present: { ...present, ...change } });

	it("clears what is gone, at the box", () => {
		expect(refused(tripped(trip("dry-run")))).toEqual([]);
		expect(refused(tripped(trip("water-in-bowl", { drainSeen: true })))).toEqual([]);
		expect(refused(contextAtBoot)).toEqual([]);
	});

	it("clears over the link only what may be cleared there", () => {
		expect(refused(tripped(trip("time-limit")), {}, "link")).toEqual([]);
		expect(refused(tripped(trip("dry-run")), {}, "link")).toEqual([
			"dry-run is acknowledged at the box only",
		]);
	});

	it("says both where the place is wrong and the cause is still there", () => {
		expect(refused(tripped(trip("stop-button")), { stop: "broken" }, "link")).toEqual([
			"stop-button is acknowledged at the box only",
			"stop-button: the stop button is not released",
		]);
	});

	it("says nothing about a trip that came after the press", () => {
		const context = tripped(trip("dry-run", { atMs: 5_001 }), trip("supply-low"));
		expect(refused(context)).toEqual(["dry-run came after the acknowledgement"]);
		expect(refused(context, {}, "link")).toEqual(["dry-run came after the acknowledgement"]);
		expect(refused(tripped(trip("dry-run", { atMs: 5_000 })))).toEqual([]);
	});

	it("waits for the drain to be seen", () => {
		expect(refused(tripped(trip("water-in-bowl")))).toEqual([
			"water-in-bowl: not seen to dry: wet the probe, then let it dry",
		]);
	});

	it("of an order that would go on waits for all that a start asks for", () => {
		const context = tripped(trip("dry-run"));
		expect(refused(context, { blockers: ["the tray is not dry"] })).toEqual([
			"the tray is not dry",
		]);
		expect(refused(context, { arming: null })).toEqual(["the plan is not armed at the rig"]);
	});

	it("of an order that has ended, or ends with the trip, does not", () => {
		const change = { blockers: ["the tray is not dry"], arming: null };
		expect(refused({ ...tripped(trip("dry-run")), order: null }, change)).toEqual([]);
		expect(refused(tripped(trip("time-limit")), change)).toEqual([]);
	});

	it("names the trips alone where one of them is still there", () => {
		const change: Partial<Present> = { probe: "wet", blockers: ["the tray is not dry"] };
		expect(refused(tripped(trip("water-in-bowl"), trip("dry-run")), change)).toEqual([
			"water-in-bowl: the probe reads wet: drain the bowl",
		]);
	});
});

describe("going on", () => {
	const bad: Present = {
		...present,
		stop: "broken",
		unknownOptional: ["tray open"],
		arming: null,
	};
	const starts = ["the stop button is not released"];

	it("asks of an unattended order its permits and every fitted channel", () => {
		expect(goOnBlockers({ ...contextAtBoot, order }, present)).toEqual([]);
		expect(goOnBlockers({ ...contextAtBoot, order }, bad)).toEqual([
			...starts,
			"the plan is not armed at the rig",
			"unknown: tray open",
		]);
	});

	it("asks of an attended one only what any start asks", () => {
		const attended = { ...contextAtBoot, order: { ...order, attended: true } };
		expect(goOnBlockers(attended, bad)).toEqual(starts);
	});

	it("asks the same where there is no order", () => {
		expect(goOnBlockers(contextAtBoot, bad)).toEqual(starts);
		expect(goOnBlockers(contextAtBoot, present)).toEqual([]);
	});
});

describe("a held order", () => {
	const resumed = (...resumedMs: number[]) => ({ ...contextAtBoot, resumedMs });
	const nowMs = 100 * HOUR_MS;

	it.each<[string, number[], boolean]>([
		["goes on at first", [], true],
		["goes on after two times in a night", [nowMs, nowMs - 1], true],
		["not after three", [nowMs, nowMs - 1, nowMs - 12 * HOUR_MS + 1], false],
		["again when the first is 12 h ago", [nowMs, nowMs - 1, nowMs - 12 * HOUR_MS], true],
	])("%s", (_, times, may) => {
		expect(mayHoldAgain(resumed(...times), nowMs)).toBe(may);
	});

	it("remembers when it went on, the last three times", () => {
		expect(withResumed(resumed(1, 2), 9)).toEqual({
			resumedMs: [1, 2, 9],
			startReason: "released",
		});
		expect(withResumed(resumed(1, 2, 3), 9).resumedMs).toEqual([2, 3, 9]);
	});
});
