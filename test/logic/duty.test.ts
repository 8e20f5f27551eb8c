// The rules over what the statechart remembers, second part: what a restart carries over, the
// pump's duty and rests, water that comes again, and the time an order is at work.

import { describe, expect, it } from "vitest";
import {
	type CycleContext,
	contextAfter,
	contextAtBoot,
	dutyLeftMs,
	isWaterAgain,
	mustRest,
	restMs,
	withPump,
	withWorkBegun,
	withWorkPaused,
	workLeftMs,
} from "../../firmware/cycle/context.ts";
import { rig, rigWith } from "./rig.ts";

const MINUTE_MS = 60_000;
const { runMinutesMax, restMinutes, dryRunSecondsMax } = rig.pump;

const context = (change: Partial<CycleContext>): CycleContext => ({ ...contextAtBoot, ...change });

describe("at boot", () => {
	it("nothing is remembered", () => {
		expect(contextAtBoot).toEqual({
			order: null,
			trips: [],
			unproven: [],
			startReason: "ordered",
			primeTry: 0,
			dryRestUntilMs: 0,
			lastWaterMs: null,
			workedMs: 0,
			workingSinceMs: null,
			dutyMs: 0,
			dutyAtMs: 0,
			pumping: false,
			motorWarm: false,
			rested: false,
			burstProven: false,
			dryBursts: 0,
			heldFor: [],
			resumedMs: [],
		});
	});

	it("a quiet end carries nothing over but the time", () => {
		const found = { interrupted: false, waterLately: false };
		expect(contextAfter(found, rig, 7_000)).toEqual({ ...contextAtBoot, dutyAtMs: 7_000 });
	});

	it("an interrupted run leaves the pump run to its rating, and dry", () => {
		const after = contextAfter({ interrupted: true, waterLately: false }, rig, 7_000);
		expect(after).toEqual({
			...contextAtBoot,
			dutyAtMs: 7_000,
			dutyMs: 40 * MINUTE_MS,
			dryRestUntilMs: 52_000,
		});
		expect(mustRest(after, rig, 7_000)).toBe(true);
	});

	it("late water counts as seen a moment ago", () => {
		const found = { interrupted: false, waterLately: true };
		expect(contextAfter(found, rig, 7_000)).toEqual({
			...contextAtBoot,
			dutyAtMs: 7_000,
			lastWaterMs: 7_000,
		});
	});
});

describe("the duty", () => {
	it("grows while the pump runs", () => {
		const running = context({ pumping: true, dutyMs: 1_000, dutyAtMs: 5_000 });
		expect(withPump(running, rig, false, 9_000)).toEqual({
			dutyMs: 5_000,
			dutyAtMs: 9_000,
			pumping: false,
		});
		expect(dutyLeftMs(running, rig, 9_000)).toBe(40 * MINUTE_MS - 5_000);
	});

	it("is forgiven at rest, at the rate at which a full rest forgives a full run", () => {
		const worn = context({ dutyMs: runMinutesMax * MINUTE_MS, dutyAtMs: 5_000 });
		const after = (minutes: number) => withPump(worn, rig, true, 5_000 + minutes * MINUTE_MS);
		expect(after(5)).toEqual({
			dutyMs: 30 * MINUTE_MS,
			dutyAtMs: 5_000 + 5 * MINUTE_MS,
			pumping: true,
		});
		expect(after(restMinutes).dutyMs).toBe(0);
		expect(after(restMinutes + 10).dutyMs).toBe(0);
	});

	it("is forgiven at once where the rating asks for no rest", () => {
		const endless = rigWith({ pump: { runMinutesMax: 40, restMinutes: 0 } });
		const worn = context({ dutyMs: 40 * MINUTE_MS });
		expect(withPump(worn, endless, true, 0).dutyMs).toBe(0);
		expect(restMs(worn, endless)).toBe(0);
	});

	it("leaves whole milliseconds, and never less than none", () => {
		expect(dutyLeftMs(context({ dutyMs: 0.5 }), rig, 0)).toBe(40 * MINUTE_MS - 1);
		expect(dutyLeftMs(context({ dutyMs: 41 * MINUTE_MS }), rig, 0)).toBe(0);
	});
});

describe("a rest is due", () => {
	it("where less than one prime is left", () => {
		const left = (ms: number) => context({ dutyMs: runMinutesMax * MINUTE_MS - ms });
		expect(mustRest(left(dryRunSecondsMax * 1_000), rig, 0)).toBe(false);
		expect(mustRest(left(dryRunSecondsMax * 1_000 - 1), rig, 0)).toBe(true);
	});

	it("by what the rating allows where that is shorter than a prime", () => {
		const short = rigWith({ pump: { runMinutesMax: 0.5, restMinutes: 1, dryRunSecondsMax: 45 } });
		expect(mustRest(contextAtBoot, short, 0)).toBe(false);
		expect(mustRest(context({ dutyMs: 1 }), short, 0)).toBe(true);
	});

	it("until a dry try's own rest is over", () => {
		const dry = context({ dryRestUntilMs: 8_000 });
		expect(mustRest(dry, rig, 7_999)).toBe(true);
		expect(mustRest(dry, rig, 8_000)).toBe(false);
	});
});

describe("a rest takes", () => {
	it("all of the time that forgives the run, where little is left of it", () => {
		expect(restMs(context({ dutyMs: 40 * MINUTE_MS }), rig)).toBe(20 * MINUTE_MS);
	});

	it("none where enough is left, and only the dry try's own where there was one", () => {
		const half = { dutyMs: 20 * MINUTE_MS, dutyAtMs: 5_000 };
		expect(restMs(context(half), rig)).toBe(0);
		expect(restMs(context({ ...half, dryRestUntilMs: 50_000 }), rig)).toBe(45_000);
	});

	it("what a dry try leaves of its own rest, little being worn", () => {
		const dry = { dutyMs: 45_000, dutyAtMs: 5_000, dryRestUntilMs: 50_000 };
		expect(restMs(context(dry), rig)).toBe(45_000);
		expect(restMs(context({ ...dry, dryRestUntilMs: 4_000 }), rig)).toBe(0);
	});

	it("the longer of both", () => {
		const worn = { dutyMs: 40 * MINUTE_MS, dutyAtMs: 5_000 };
		const until = (ms: number) => context({ ...worn, dryRestUntilMs: 5_000 + ms });
		expect(restMs(until(45_000), rig)).toBe(20 * MINUTE_MS);
		expect(restMs(until(21 * MINUTE_MS), rig)).toBe(21 * MINUTE_MS);
	});

	it("whole milliseconds, the last one begun", () => {
		expect(restMs(context({ dutyMs: 40 * MINUTE_MS - 1 }), rig)).toBe(20 * MINUTE_MS);
	});
});

describe("water comes again", () => {
	it.each<[string, number | null, boolean]>([
		["not where it never came", null, false],
		["within 10 min", 1_000_000 - 600_000, true],
		["not after them", 1_000_000 - 600_001, false],
	])("%s", (_, lastWaterMs, again) => {
		expect(isWaterAgain(context({ lastWaterMs }), 1_000_000)).toBe(again);
	});

	it("not where the clock began a moment ago and it never came", () => {
		expect(isWaterAgain(contextAtBoot, 1_000)).toBe(false);
	});
});

describe("time at work", () => {
	it("is added up from begin to pause", () => {
		const begun = context({ workedMs: 500, ...withWorkBegun(2_000) });
		expect(begun.workingSinceMs).toBe(2_000);
		expect(withWorkPaused(begun, 5_000)).toEqual({ workedMs: 3_500, workingSinceMs: null });
	});

	it("does not grow by a pause without a begin", () => {
		const idle = context({ workedMs: 500 });
		expect(withWorkPaused(idle, 5_000)).toEqual({ workedMs: 500, workingSinceMs: null });
	});

	it("ends at its limit", () => {
		expect(workLeftMs(context({ workedMs: 1_000 }), rig)).toBe(720 * MINUTE_MS - 1_000);
		expect(workLeftMs(context({ workedMs: 721 * MINUTE_MS }), rig)).toBe(0);
	});
});
