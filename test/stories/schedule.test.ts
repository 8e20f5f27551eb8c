// Plans that begin by themselves, quiet hours, and what is known of the time. Through the real
// controller, with a time variable.

import { describe, expect, it } from "vitest";
import { isWithin, lastWeekly, localMs } from "../../firmware/local-time.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { codes, exampleRig, World } from "./world.ts";

const HOUR_S = 3_600;

const scheduled = (block: string) => exampleRig((text) => `${text}\nschedule: ${block}\n`);
/** 2026-11-29 is a Sunday. */
const WEEKLY =
	'{ weekly: [{ name: sunday-port, day: sunday, at: "10:00", windowHours: 2, ' +
	"work: { polish: { tank: port, litres: 1, sweepFirst: false } } }] }";
const QUIET = '{ quietHours: { from: "22:00", to: "07:00" } }';

const work = { polish: { tank: "port", litres: 1, attended: false, sweepFirst: false } };

function worldAt(localTime: string | null, rig = exampleRig()): World {
	const world = new World(rig);
	world.pass(1);
	if (localTime !== null) world.setClock(localTime);
	world.pass(1);
	return world;
}

const endOf = (world: World) => world.of("plan-ended").map(({ outcome }) => outcome);

describe("a plan for once", () => {
	it("begins at its time, and not before", () => {
		const world = worldAt("2026-11-29T09:58");
		world.plan({ at: "2026-11-29T10:00", work });
		world.pass(115);
		expect(world.name).toBe("idle");
		expect(world.of("planned").length).toBe(1);
		world.passUntil(() => world.name === "polishing", 60);
		world.passUntil(() => world.of("run-end").length > 0, 200);
		expect(world.of("run-end")[0]?.outcome).toBe("finished");
		world.pass(3 * HOUR_S);
		expect(world.of("order").length).toBe(1);
		expect(endOf(world)).toEqual(["begun"]);
	});

	const refused: ReadonlyArray<readonly [string, string | null, object, RegExp]> = [
		[
			"in the past",
			"2026-11-29T10:00",
			{ work },
			/2026-11-29T09:59 is past: it is 2026-11-29T10:00/,
		],
		["without the time", null, { work }, /the time is unknown: set the clock first/],
		[
			"that transfers into its source",
			"2026-11-29T09:00",
			{ work: { transfer: { from: "day", to: "day", attended: false } } },
			/a transfer from day into day moves nothing/,
		],
		[
			"that fills beyond the tank",
			"2026-11-29T09:00",
			{
				work: {
					transfer: { from: "port", to: "day", litres: 99, toDipLitres: 5, attended: false },
				},
			},
			/99 L is beyond day/,
		],
	];
	it.each(refused)("%s is refused with the reason", (_, localTime, plan, words) => {
		const world = worldAt(localTime);
		world.plan({ at: "2026-11-29T09:59", work, ...plan });
		world.pass(1);
		expect(world.of("plan-refused")[0]?.reasons.join("; ")).toMatch(words);
		expect(world.of("planned")).toEqual([]);
		expect(world.state.schedule.planned).toEqual([]);
	});

	it("waits for its arming, and is missed when its window is over", () => {
		const world = worldAt("2026-11-29T09:59");
		world.set({ armed: false });
		world.plan({ at: "2026-11-29T10:00", windowHours: 1, work });
		world.pass(HOUR_S);
		expect(world.state.schedule.waits?.reasons).toEqual(["the plan is not armed at the rig"]);
		expect(world.of("order")).toEqual([]);
		world.pass(70);
		expect(world.of("plan-ended")[0]).toMatchObject({
			outcome: "missed",
			reasons: ["the plan is not armed at the rig"],
		});
		world.set({ armed: true });
		world.pass(60);
		expect(world.of("order")).toEqual([]);
	});

	it("begins as soon as somebody arms it within its window", () => {
		const world = worldAt("2026-11-29T09:59");
		world.set({ armed: false });
		world.pass(1);
		world.set({ armed: "by-button" });
		world.plan({ at: "2026-11-29T10:00", work });
		world.pass(600);
		expect(world.name).toBe("idle");
		world.holdButton();
		world.passUntil(() => world.name === "polishing", 60);
	});

	it("waits for the charger where it asks for one", () => {
		const world = worldAt("2026-11-29T09:59");
		world.plan({ at: "2026-11-29T10:00", onCharge: true, work });
		world.pass(600);
		expect(world.state.schedule.waits?.reasons).toEqual(["the battery is not being charged"]);
		world.set({ supplyVolts: 13.6 });
		world.passUntil(() => world.name === "polishing", 150);
	});

	it("waits for the battery's volts", () => {
		const world = worldAt("2026-11-29T09:59");
		world.set({ supplyVolts: 12.45 });
		world.plan({ at: "2026-11-29T10:00", batteryVoltsMin: 12.6, work });
		world.pass(600);
		expect(world.state.schedule.waits?.reasons.join()).toMatch(/at 12.4 V; the plan wants 12.6 V/);
		world.set({ supplyVolts: 12.7 });
		world.passUntil(() => world.name === "polishing", 60);
	});

	it("may be cancelled, by its id", () => {
		const world = worldAt("2026-11-29T09:59");
		world.plan({ at: "2026-11-29T10:00", work });
		world.pass(1);
		world.cancelPlan("no such plan");
		world.pass(1);
		expect(world.of("plan-refused").length).toBe(1);
		world.cancelPlan(world.of("planned")[0]?.id ?? "");
		world.pass(HOUR_S / 4);
		expect(endOf(world)).toEqual(["cancelled"]);
		expect(world.of("order")).toEqual([]);
	});

	it("does not push itself before a person's order", () => {
		const world = worldAt("2026-11-29T09:59");
		world.plan({ at: "2026-11-29T10:00", work });
		world.polish({ litres: 5 });
		world.pass(120);
		expect(world.state.schedule.waits?.reasons).toContain("the controller is polishing");
		world.passUntil(() => world.of("run-end").length === 2, 600);
		expect(world.of("order").map(({ order }) => order.goalLitres)).toEqual([5, 1]);
	});

	it("is known after a restart, and waits for clock and arming again", () => {
		const world = worldAt("2026-11-29T09:50");
		world.plan({ at: "2026-11-29T10:00", work });
		world.pass(1);
		const { planned } = recover(world.records, world.rig);
		expect(planned.map(({ plan }) => plan.at)).toEqual(["2026-11-29T10:00"]);
		world.pass(700);
		expect(endOf(world)).toEqual(["begun"]);
		expect(recover(world.records, world.rig).planned).toEqual([]);
	});
});

describe("a weekly plan", () => {
	it("begins on its day at its time, once", () => {
		const world = worldAt("2026-11-29T09:55", scheduled(WEEKLY));
		world.pass(240);
		expect(world.of("order")).toEqual([]);
		world.passUntil(() => world.of("run-end").length > 0, 400);
		world.pass(3 * HOUR_S);
		expect(world.of("order").map(({ order }) => order.id)).toEqual([
			"sunday-port 2026-11-29T10:00",
		]);
		expect(recover(world.records, world.rig).ended).toEqual(["sunday-port 2026-11-29T10:00"]);
	});

	it("waits while the time is unknown", () => {
		const world = worldAt(null, scheduled(WEEKLY));
		world.pass(2 * HOUR_S);
		expect(world.of("order")).toEqual([]);
		world.setClock("2026-11-29T11:00");
		world.passUntil(() => world.name === "polishing", 60);
	});

	it("is missed when its window passes, and told so", () => {
		const world = worldAt("2026-11-29T09:50", scheduled(WEEKLY));
		world.set({ armed: false });
		world.setClock("2026-11-29T11:50");
		world.pass(700);
		expect(endOf(world)).toEqual(["missed"]);
	});

	it("of a day long past is not made up for", () => {
		const world = worldAt("2026-12-02T11:50", scheduled(WEEKLY));
		world.pass(HOUR_S);
		expect(world.of("order")).toEqual([]);
		expect(world.of("plan-ended")).toEqual([]);
	});
});

describe("quiet hours", () => {
	it("refuse an order that nobody attends, and none that somebody does", () => {
		const world = worldAt("2026-11-29T23:00", scheduled(QUIET));
		world.polish();
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons).toEqual([
			"it is quiet hours: nothing pumps that nobody attends",
		]);
		world.polish({ attended: true });
		world.passUntil(() => world.name === "polishing", 60);
	});

	it("count as on while the time is unknown", () => {
		const world = worldAt(null, scheduled(QUIET));
		world.polish();
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons).toEqual([
			"the time is unknown: it may be quiet hours",
		]);
	});

	it("hold what is under way, which goes on in the morning by itself", () => {
		const world = worldAt("2026-11-29T21:50", scheduled(QUIET));
		world.polish({ litres: 40 });
		world.passUntil(() => world.name === "polishing", 60);
		world.passUntil(() => world.name === "held", 700);
		expect(world.pumpDemanded).toBe(false);
		expect(world.of("held")[0]?.causes).toEqual(["quiet-hours"]);
		world.pass(8.9 * HOUR_S);
		expect(world.name).toBe("held");
		world.passUntil(() => world.of("run-end").length > 0, 3_000);
		expect(world.of("run-end")[0]?.outcome).toBe("finished");
		expect(codes(world)).toEqual([]);
	});

	it("are held together with the cold: both must be gone", () => {
		const world = worldAt("2026-11-30T06:55", scheduled(QUIET));
		world.setClock("2026-11-30T12:00");
		world.polish({ litres: 40 });
		world.passUntil(() => world.name === "polishing", 60);
		world.set({ fuelC: 0 });
		world.passUntil(() => world.name === "held", 60);
		world.setClock("2026-11-30T06:55");
		world.pass(1);
		expect(world.of("held").at(-1)?.causes).toEqual(["cold", "quiet-hours"]);
		world.pass(400);
		expect(world.of("held").at(-1)?.causes).toEqual(["cold"]);
		world.set({ fuelC: 10 });
		world.passUntil(() => world.name === "polishing", 900);
	});
});

describe("the time", () => {
	const clock = { utcMs: 1_795_860_000_000, offsetMinutes: 60, uncertaintyMs: 1_000, atMs: 5_000 };

	it("goes on from when it was set, with the offset that was given", () => {
		expect(localMs(clock, 5_000)).toBe(1_795_860_000_000 + 3_600_000);
		expect(localMs(clock, 65_000)).toBe(1_795_860_060_000 + 3_600_000);
		expect(localMs(null, 65_000)).toBeNull();
	});

	it("is unknown again when it may be off by five minutes", () => {
		// 100 ppm make 299 s in 34.6 days.
		const days = (n: number) => 5_000 + n * 86_400_000;
		expect(localMs(clock, days(34))).not.toBeNull();
		expect(localMs(clock, days(35))).toBeNull();
		expect(localMs({ ...clock, uncertaintyMs: 300_001 }, 5_000)).toBeNull();
	});

	it("of a weekly plan agrees with the calendar of the language", () => {
		for (let day = 0; day < 800; day += 1) {
			const ms = Date.UTC(2026, 0, 1 + day, 9, 30);
			const at = lastWeekly("sunday", "10:00", ms);
			const date = new Date(at);
			expect([date.getUTCDay(), date.getUTCHours(), date.getUTCMinutes()]).toEqual([0, 10, 0]);
			expect(ms - at).toBeGreaterThanOrEqual(0);
			expect(ms - at).toBeLessThan(7 * 86_400_000);
		}
	});

	it.each([
		["06:59", true],
		["07:00", false],
		["21:59", false],
		["22:00", true],
		["00:00", true],
	])("%s within 22:00 to 07:00: %s", (text, within) => {
		const [hours = 0, minutes = 0] = text.split(":").map(Number);
		expect(isWithin((hours * 60 + minutes) * 60_000, "22:00", "07:00")).toBe(within);
	});
});
