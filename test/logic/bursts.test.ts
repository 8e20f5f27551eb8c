// The rules over what the statechart remembers, third part: the bursts of a sweep, and a motor that
// is warm before its time.

import { describe, expect, it } from "vitest";
import {
	type CycleContext,
	contextAtBoot,
	isSweeping,
	isSwept,
	isWarmEarly,
	withBurst,
} from "../../firmware/cycle/context.ts";
import { plainOrder } from "../stories/well.ts";
import { rig } from "./rig.ts";

const sweep = { burstMl: 160, standSeconds: 20, dryBursts: 3 };
const sweeping: CycleContext = {
	...contextAtBoot,
	order: { ...plainOrder, work: "sweep", goalLitres: null, sweep },
};
const polishing: CycleContext = { ...contextAtBoot, order: { ...plainOrder, sweep } };

describe("an order is in its bursts", () => {
	it.each([
		[0, true],
		[2, true],
		[3, false],
		[4, false],
	])("after %d of 3 dry ones: %s", (dryBursts, is) => {
		expect(isSweeping({ ...sweeping, dryBursts })).toBe(is);
		expect(isSweeping({ ...polishing, dryBursts })).toBe(is);
	});

	it("only where it has some", () => {
		expect(isSweeping(contextAtBoot)).toBe(false);
		expect(isSweeping({ ...contextAtBoot, order: plainOrder })).toBe(false);
	});
});

describe("a burst", () => {
	it("counts where it moved fuel, and the next one has yet to prove it", () => {
		const after = withBurst({ ...sweeping, dryBursts: 1, burstProven: true });
		expect(after).toEqual({ dryBursts: 2, burstProven: false });
	});

	it("counts not where it moved air", () => {
		const after = withBurst({ ...sweeping, dryBursts: 1, burstProven: false });
		expect(after).toEqual({ dryBursts: 1, burstProven: false });
	});
});

describe("a sweep is done", () => {
	it.each([
		[1, true, false],
		[2, true, true],
		[2, false, false],
		[3, false, true],
	])("after %d dry bursts and one that moved fuel (%s): %s", (dryBursts, burstProven, is) => {
		expect(isSwept({ ...sweeping, dryBursts, burstProven })).toBe(is);
	});

	it("never where it is the beginning of a polish, or nothing is ordered", () => {
		expect(isSwept({ ...polishing, dryBursts: 2, burstProven: true })).toBe(false);
		expect(isSwept({ ...contextAtBoot, dryBursts: 2, burstProven: true })).toBe(false);
	});
});

describe("a warm motor", () => {
	const halfMs = (rig.pump.runMinutesMax * 60_000) / 2;
	const running = { ...contextAtBoot, pumping: true };

	it.each([
		[halfMs - 1, true],
		[halfMs, false],
		[2 * halfMs, false],
	])("is early %d ms into a run: %s", (atMs, is) => {
		expect(isWarmEarly(running, rig, atMs)).toBe(is);
	});
});
