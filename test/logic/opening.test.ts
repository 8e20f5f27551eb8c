// What a trip that opens does to what the statechart remembers and to the order at work, and what
// is told of it.

import { describe, expect, it } from "vitest";
import { type CycleContext, contextAtBoot } from "../../firmware/cycle/context.ts";
import type { CycleEffect } from "../../firmware/cycle/effects.ts";
import { openTrip, type TripParams } from "../../firmware/cycle/opening.ts";
import { trips } from "../../firmware/cycle/trips.ts";
import { plainOrder as order } from "../stories/well.ts";

const working: CycleContext = { ...contextAtBoot, order };
const NOW_MS = 1_000_000;

/** The context after it and what was told. */
function open(context: CycleContext, params: TripParams) {
	let after = context;
	const told: CycleEffect[] = [];
	const enqueue = {
		assign: (change: Partial<CycleContext>) => {
			after = { ...after, ...change };
		},
		emit: (effect: CycleEffect) => {
			told.push(effect);
		},
	};
	openTrip(enqueue, context, NOW_MS, params);
	return { after, told };
}

const AGAIN =
	"water again within 10 min of the last: look into tank and bowl, sweep before polishing";

describe("a trip that lets the order go on", () => {
	it("is told in the catalogue's words, and keeps the order", () => {
		const { after, told } = open(working, { code: "dry-run" });
		const { cause } = trips["dry-run"];
		expect(told).toEqual([{ type: "trip", code: "dry-run", cause }]);
		expect(after.trips).toEqual([{ code: "dry-run", cause, atMs: NOW_MS, drainSeen: false }]);
		expect(after.order).toBe(order);
	});

	it("is told in its own words where it has some", () => {
		const { after, told } = open(working, { code: "dry-run", cause: "air" });
		expect(told).toEqual([{ type: "trip", code: "dry-run", cause: "air" }]);
		expect(after.trips[0]?.cause).toBe("air");
	});
});

describe("water that comes while the order is in its bursts", () => {
	const sweep = { burstMl: 160, standSeconds: 20, dryBursts: 2 };
	const late = { ...working, order: { ...order, sweep }, lastWaterMs: NOW_MS - 1_000 };

	it("is what they are for: again and again, the order goes on", () => {
		const { after, told } = open({ ...late, dryBursts: 1 }, { code: "water-in-bowl" });
		expect(told.map(({ type }) => type)).toEqual(["trip"]);
		expect(after.order).not.toBeNull();
	});

	it("is a surprise after them", () => {
		const { after, told } = open({ ...late, dryBursts: 2 }, { code: "water-in-bowl" });
		expect(told.map(({ type }) => type)).toEqual(["trip", "run-end"]);
		expect(after.trips[0]?.cause).toBe(AGAIN);
	});
});

describe("a trip that ends the order", () => {
	it("tells the trip first and the run's end after it", () => {
		const { after, told } = open(working, { code: "leak", cause: "wet" });
		expect(told).toEqual([
			{ type: "trip", code: "leak", cause: "wet" },
			{ type: "run-end", outcome: "ended by trip: leak", reasons: [] },
		]);
		expect(after.order).toBeNull();
		expect(after.trips.map(({ code }) => code)).toEqual(["leak"]);
	});

	it("ends no run where there is none", () => {
		const { after, told } = open(contextAtBoot, { code: "leak", cause: "wet" });
		expect(told).toEqual([{ type: "trip", code: "leak", cause: "wet" }]);
		expect(after.order).toBeNull();
	});
});

describe("a trip that is open already", () => {
	it("is not told again and ends nothing; its time is the new one", () => {
		const old = { code: "leak", cause: "wet", atMs: 5, drainSeen: true } as const;
		const other = { code: "dry-run", cause: "air", atMs: 6, drainSeen: false } as const;
		const { after, told } = open({ ...working, trips: [other, old] }, { code: "leak" });
		expect(told).toEqual([]);
		expect(after.order).toBe(order);
		expect(after.trips).toEqual([
			{ code: "leak", cause: trips.leak.cause, atMs: NOW_MS, drainSeen: false },
			other,
		]);
	});

	it("does not keep another from being told", () => {
		const old = { code: "leak", cause: "wet", atMs: 5, drainSeen: false } as const;
		const { told } = open({ ...contextAtBoot, trips: [old] }, { code: "dry-run", cause: "air" });
		expect(told).toEqual([{ type: "trip", code: "dry-run", cause: "air" }]);
	});
});

describe("water", () => {
	const lately = { ...working, lastWaterMs: NOW_MS - 600_000 };

	it("for the first time lets the order go on", () => {
		const { after, told } = open(working, { code: "water-in-bowl" });
		expect(told).toEqual([
			{ type: "trip", code: "water-in-bowl", cause: trips["water-in-bowl"].cause },
		]);
		expect(after.order).toBe(order);
	});

	it("within 10 min of the last ends it and asks for an inspection, whatever was said", () => {
		const { after, told } = open(lately, { code: "water-in-bowl", cause: "the probe is wet" });
		expect(told).toEqual([
			{ type: "trip", code: "water-in-bowl", cause: AGAIN },
			{ type: "run-end", outcome: "ended by trip: water-in-bowl", reasons: [] },
		]);
		expect(after.order).toBeNull();
		expect(after.trips[0]?.cause).toBe(AGAIN);
	});

	it("of a while ago lets it go on", () => {
		const context = { ...working, lastWaterMs: NOW_MS - 600_001 };
		expect(open(context, { code: "water-in-bowl" }).after.order).toBe(order);
	});

	it("a moment ago says nothing about another trip", () => {
		const { after, told } = open(lately, { code: "dry-run", cause: "air" });
		expect(told).toEqual([{ type: "trip", code: "dry-run", cause: "air" }]);
		expect(after.order).toBe(order);
	});
});
