// The time that a run may still take: by hand-worked sums, and by which figure it is reckoned. The
// figures are invented.

import { describe, expect, it } from "vitest";
import type { Status } from "../../firmware/link/protocol.ts";
import { timeLeft } from "../../host/web/live/time-left.ts";
import type { Point } from "../../host/web/scene.ts";
import { RIG } from "../browser/invented-scenes.ts";
import { IDLE } from "../stories/idle-status.ts";

const ORDER = {
	id: "a",
	work: "polish",
	tank: "port",
	toTank: null,
	goalLitres: null,
	goalHours: null,
	goalShare: null,
};
const status = (order: Partial<NonNullable<Status["order"]>>, run = { motorMs: 0, pulses: 0 }) => ({
	...IDLE,
	order: { ...ORDER, ...order },
	run,
});
const steady = (flowLph: number | null, seconds: number): Point[] =>
	Array.from({ length: seconds }, (_, i) => ({
		...{ monoMs: 1_000 * i, flowLph, vacuumKpa: null, motorAmps: null, supplyVolts: null },
	}));
const MIN = 60_000;

describe("time left", () => {
	it("by the flow of the last minutes", () => {
		// 45 L less 15 L at 90 L/h: 20 min. The rig may run 40 min in one go.
		const known = { rig: RIG, senses: null, recent: steady(90, 300) };
		const left = timeLeft({
			...known,
			status: status({ goalLitres: 45 }, { motorMs: 10 * MIN, pulses: 15 * 420 }),
		});
		expect(left).toEqual({ leftMs: 20 * MIN, basis: "recent", flowLph: 90, rests: 0 });
	});

	it("leaves what is older than five minutes out", () => {
		const recent = [
			...steady(30, 200),
			...steady(90, 400).map((p) => ({ ...p, monoMs: p.monoMs + 200_000 })),
		];
		const left = timeLeft({ rig: RIG, senses: null, recent, status: status({ goalLitres: 45 }) });
		expect(left?.flowLph).toBe(90);
	});

	it("by the mean of the run where the last minutes had no fuel", () => {
		// 15 L in 10 min are 90 L/h, and 30 L are left.
		const run = { motorMs: 10 * MIN, pulses: 15 * 420 };
		const left = timeLeft({
			rig: RIG,
			senses: null,
			recent: steady(0, 300),
			status: status({ goalLitres: 45 }, run),
		});
		expect(left).toEqual({ leftMs: 20 * MIN, basis: "run", flowLph: 90, rests: 0 });
	});

	it("by the hours that were ordered, whatever flows", () => {
		const left = timeLeft({
			...{ rig: null, senses: null, recent: [] },
			status: status({ goalHours: 0.5 }, { motorMs: 12 * MIN, pulses: 1 }),
		});
		expect(left).toEqual({ leftMs: 18 * MIN, basis: "hours", flowLph: null, rests: 0 });
	});

	it("counts the rests of the pump's rating in", () => {
		// 150 L at 90 L/h are 100 min of pumping: two rests of 20 min.
		const known = { rig: RIG, senses: null, recent: steady(90, 300) };
		expect(timeLeft({ ...known, status: status({ goalLitres: 150 }) })).toMatchObject({
			...{ leftMs: 140 * MIN, rests: 2 },
		});
	});

	it("ends with whichever goal of a transfer comes first", () => {
		// The day tank holds 90 L: from 60 % to 90 % are 27 L, less than the 45 L ordered.
		const sensed = { levelTo: 0.6 } as NonNullable<
			Parameters<typeof timeLeft>[0]["senses"]
		>["sensed"];
		const left = timeLeft({
			...{ rig: RIG, recent: steady(90, 300) },
			senses: { monoMs: 0, commissioned: false, sensed, blocked: [] },
			status: status({ work: "transfer", toTank: "day", goalLitres: 45, goalShare: 0.9 }),
		});
		expect(left?.leftMs).toBeCloseTo(18 * MIN, -1);
	});

	it.each([
		["nothing is ordered", { ...IDLE, order: null }],
		["a sweep ends by its bursts", status({ work: "sweep" })],
		["no fuel has come yet", status({ goalLitres: 45 })],
	])("is not told where %s", (_, status) => {
		expect(timeLeft({ rig: RIG, senses: null, recent: steady(0, 60), status })).toBeNull();
	});
});
