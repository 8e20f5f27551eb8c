// What a trip that opens does to what the statechart remembers and to the order at work, and what
// is told of it.

import { describe, expect, it } from "vitest";
import { type CycleContext, contextAtBoot } from "../../firmware/cycle/context.ts";
import type { CycleEffect } from "../../firmware/cycle/effects.ts";
import {
	clearTrips,
	type Enqueue,
	openTrip,
	reopenTrips,
	type TripParams,
} from "../../firmware/cycle/opening.ts";
import { trips } from "../../firmware/cycle/trips.ts";
import { plainOrder as order, wellPresent } from "../stories/well.ts";

const working: CycleContext = { ...contextAtBoot, order };
const NOW_MS = 1_000_000;

/** The context after it and what was told. */
function done(context: CycleContext, act: (enqueue: Enqueue) => void) {
	let after = context;
	const told: CycleEffect[] = [];
	act({
		assign: (change) => {
			after = { ...after, ...change };
		},
		emit: (effect) => {
			told.push(effect);
		},
	});
	return { after, told };
}

const open = (context: CycleContext, params: TripParams) =>
	done(context, (enqueue) => openTrip(enqueue, context, NOW_MS, params));

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

describe("trips that a log hands over", () => {
	const found = [
		{ code: "dry-run", cause: "air", drainSeen: false },
		{ code: "water-in-bowl", cause: "water", drainSeen: true },
	] as const;
	const reopened = (interrupted: boolean) =>
		done(contextAtBoot, (enqueue) =>
			reopenTrips(enqueue, { type: "recovered", atMs: NOW_MS, trips: found, interrupted }),
		);

	it("are open again, the worst first, and told nobody anew", () => {
		const { after, told } = reopened(false);
		expect(after.trips).toEqual([
			{ code: "water-in-bowl", cause: "water", atMs: NOW_MS, drainSeen: true },
			{ code: "dry-run", cause: "air", atMs: NOW_MS, drainSeen: false },
		]);
		expect(told).toEqual([]);
	});

	it("have a new one among them where a run never ended", () => {
		const { after, told } = reopened(true);
		const { cause } = trips.interrupted;
		expect(after.trips.map(({ code }) => code)).toEqual([
			"water-in-bowl",
			"interrupted",
			"dry-run",
		]);
		expect(after.trips[1]).toMatchObject({ cause, drainSeen: false });
		expect(told).toEqual([{ type: "trip", code: "interrupted", cause }]);
	});
});

describe("an acknowledgement", () => {
	const acknowledged = (context: CycleContext) =>
		done(context, (enqueue) =>
			clearTrips(enqueue, context, {
				type: "acknowledge",
				atMs: NOW_MS,
				id: "b",
				from: "box",
				pressedMs: NOW_MS,
				present: wellPresent,
			}),
		);
	const before: CycleContext = {
		...open(working, { code: "dry-run" }).after,
		primeTry: 2,
		dryBursts: 3,
		lastWaterMs: 7,
		unproven: ["leak", "dry-run"],
	};

	it("closes what is open until a prime has proven it, and begins tries and bursts anew", () => {
		const { after, told } = acknowledged(before);
		expect(told).toEqual([{ type: "acknowledged", id: "b", codes: ["dry-run"], from: "box" }]);
		expect(after).toEqual({
			...before,
			trips: [],
			unproven: ["leak", "dry-run"],
			startReason: "acknowledged",
			primeTry: 0,
			dryBursts: 0,
		});
	});

	it("remembers when water was acknowledged", () => {
		const wet = open(before, { code: "water-in-bowl" }).after;
		expect(acknowledged(wet).after.lastWaterMs).toBe(NOW_MS);
	});
});
