// What is told ashore and what is not: status by status, with a time variable. A trip is told once
// however often it is seen, and no flapping makes a flood of it.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Status } from "../../firmware/link/protocol.ts";
import { tamed } from "../../host/bridges/news.ts";
import { NewsWatch } from "../../host/bridges/news-watch.ts";
import type { LinkState } from "../../host/web/scene.ts";
import { IDLE } from "./idle-status.ts";

const UP: LinkState = { isUp: true, heardAgoMs: 100, why: "" };
const DOWN: LinkState = { isUp: false, heardAgoMs: 9_000, why: "the line is lost" };
const SECOND = 1_000;
const MINUTE = 60_000;

const trip = (...codes: string[]): Partial<Status> => ({
	state: "tripped",
	trips: codes.map((code) => ({ code, cause: "some cause" })),
});
const order = (id: string, change = {}): Partial<Status> => ({
	state: "polishing",
	pumpDemanded: true,
	order: {
		...{ id, work: "polish", tank: "port", toTank: null },
		...{ goalLitres: 60, goalHours: null, goalShare: null },
	},
	run: { motorMs: 1_800_000, pulses: 45 * 420 },
	...change,
});

class Story {
	private readonly watch: NewsWatch;
	nowMs = 50_000;

	constructor(againMinutes: number | null = null) {
		this.watch = new NewsWatch({ againMs: againMinutes === null ? null : againMinutes * MINUTE });
	}

	/** Time goes by, and then this is seen. @returns what is told, in few words */
	see(status: Partial<Status> | null, afterMs = SECOND, link = UP) {
		this.nowMs += afterMs;
		const whole = status && { ...IDLE, ...status };
		return this.watch.look(whole, link, "teal-willow", this.nowMs);
	}

	/** Once a second for so long. */
	events(status: Partial<Status> | null, ms: number, link = UP): string[] {
		const looks = Array.from({ length: ms / SECOND }, () => this.see(status, SECOND, link));
		return looks.flat().map(({ event, trip }) => (trip === "" ? event : `${event} ${trip}`));
	}
}

describe("a trip", () => {
	it("is told with its cause, what to do and where it is acknowledged", () => {
		expect(new Story().see(trip("dry-run"))).toEqual([
			{
				event: "trip",
				rig: "teal-willow",
				trip: "dry-run",
				cause: "some cause",
				toDo: expect.stringMatching(/^look at the tube's end.*\. Then acknowledge at the box\.$/),
			},
		]);
		const [low] = new Story().see({ trips: [{ code: "supply-low", cause: "the supply's" }] });
		expect(low?.cause).toBe("the supply's voltage is too low under the pump's load");
		expect(low?.toDo).toContain("over the link");
		expect(new Story().see(trip("of-tomorrow"))[0]).toMatchObject({ trip: "of-tomorrow" });
	});

	it("is told once, however long it stays open and whatever comes beside it", () => {
		const story = new Story();
		expect(story.events(trip("dry-run"), 5 * MINUTE)).toEqual(["trip dry-run"]);
		expect(story.events(trip("leak", "dry-run"), 5 * MINUTE)).toEqual(["trip leak"]);
		expect(story.events(trip("dry-run"), MINUTE)).toEqual([]);
		expect(story.events({}, MINUTE)).toEqual([]);
	});

	it("is told again when it has been closed and opens anew", () => {
		const story = new Story();
		story.see(trip("dry-run"));
		story.events({}, 2 * MINUTE);
		expect(story.events(trip("dry-run"), MINUTE)).toEqual(["trip dry-run"]);
	});

	it("that opens again within the minute is told when the minute is over", () => {
		const story = new Story();
		story.see(trip("dry-run"));
		story.see({});
		expect(story.events(trip("dry-run"), 50 * SECOND)).toEqual([]);
		expect(story.events(trip("dry-run"), MINUTE)).toEqual(["trip dry-run"]);
	});

	it("is told again while it stays open, only where that is wanted", () => {
		const story = new Story(10);
		expect(story.events(trip("dry-run"), 31 * MINUTE)).toEqual([
			"trip dry-run",
			...["trip-still-open dry-run", "trip-still-open dry-run", "trip-still-open dry-run"],
		]);
		expect(story.events({}, 31 * MINUTE)).toEqual([]);
	});

	it("that makes room for a worse one among the three that are told is not closed", () => {
		const story = new Story();
		story.see(trip("leak", "overcurrent", "dry-run"));
		expect(story.see(trip("relay-stuck", "leak", "overcurrent")).length).toBe(1);
		expect(story.events(trip("leak", "overcurrent", "dry-run"), 5 * MINUTE)).toEqual([]);
	});

	it("is not told from what was heard before the line went", () => {
		const story = new Story();
		expect(story.events(trip("dry-run"), 30 * SECOND, DOWN)).toEqual([]);
		expect(story.events(trip("dry-run"), SECOND)).toEqual(["trip dry-run"]);
	});
});

describe("an order", () => {
	it("that ends without a trip is told with how far it came", () => {
		const story = new Story();
		expect(story.events(order("a"), MINUTE)).toEqual([]);
		const [news] = story.see({ run: { motorMs: 2_400_000, pulses: 60.02 * 420 } });
		expect(news).toMatchObject({ event: "order-ended", trip: "", toDo: "" });
		expect(news?.cause).toBe(
			"the order to polish port has ended: 60.02 L in 0.667 h of pumping (its goal: 60 L)",
		);
		expect(story.events({}, MINUTE)).toEqual([]);
	});

	it("that ends with a trip is told by the trip alone, and one that goes on is not", () => {
		const story = new Story();
		story.see(order("a"));
		expect(story.events(trip("leak"), MINUTE)).toEqual(["trip leak"]);
		const other = new Story();
		other.see(order("a"));
		other.see(order("a", trip("dry-run")));
		expect(other.events(order("a", { state: "held" }), MINUTE)).toEqual([]);
	});

	it("that made way for the next one is told with its own litres", () => {
		const story = new Story();
		story.see(order("a"));
		const [news] = story.see(order("b", { run: { motorMs: 0, pulses: 0 } }));
		expect(news?.cause).toContain("45.00 L in 0.500 h");
	});

	it("that ended while the line was away is told when it is back", () => {
		const story = new Story();
		story.see(order("a"));
		expect(story.events(order("a"), 30 * SECOND, DOWN)).toEqual([]);
		expect(story.events({}, MINUTE)).toEqual(["order-ended"]);
	});
});

describe("a controller", () => {
	it("that does not answer for a minute is lost, once, and what its pump did is told", () => {
		const story = new Story();
		story.see(order("a"));
		expect(story.events(order("a"), 60 * SECOND, DOWN)).toEqual([]);
		const [news] = story.see(order("a"), SECOND, DOWN);
		expect(news).toMatchObject({ event: "controller-lost", trip: "" });
		expect(news?.cause).toContain("(the line is lost); the pump was ON when it was last heard");
		expect(story.events(order("a"), 600 * SECOND, DOWN)).toEqual([]);
		expect(story.events(order("a"), MINUTE)).toEqual(["controller-back"]);
	});

	it("that was away for less is not", () => {
		const story = new Story();
		story.see({});
		for (let n = 0; n < 20; n += 1) {
			expect(story.events({}, 50 * SECOND, DOWN)).toEqual([]);
			expect(story.events({}, SECOND)).toEqual([]);
		}
	});

	it("that has never answered is lost too", () => {
		const [news] = [new Story()].flatMap((story) => {
			story.see(null, SECOND, DOWN);
			return story.see(null, 61 * SECOND, DOWN);
		});
		expect(news?.cause).toContain("it has not been heard yet");
	});
});

describe("a flood", () => {
	it("of a trip that flaps each second is one message a minute, then twenty an hour", () => {
		const story = new Story();
		let told = 0;
		for (let n = 0; n < 3_600; n += 1) told += story.see(n % 2 === 0 ? trip("dry-run") : {}).length;
		expect(told).toBeGreaterThan(20);
		expect(told).toBeLessThanOrEqual(40);
	});

	it("of everything else leaves room for trips", () => {
		const story = new Story();
		for (let n = 0; n < 100; n += 1) story.see(order(`o${n}`));
		const codes = ["leak", "dry-run", "overcurrent", "stop-button", "source-low"];
		const told = codes.flatMap((code) => story.see(trip(code)));
		expect(told.map((news) => news.trip)).toEqual(codes);
	});

	it("leaves out no trip that stays open", () => {
		const story = new Story();
		for (let n = 0; n < 600; n += 1) story.see(n % 2 === 0 ? trip("dry-run", `made-up-${n}`) : {});
		expect(story.events(trip("leak"), 10 * MINUTE)).toEqual(["trip leak"]);
	});

	it("tells no more than its share, and of each trip once while it is open", () => {
		const look = fc.record({
			afterMs: fc.integer({ min: 0, max: 90_000 }),
			codes: fc.uniqueArray(fc.constantFrom("leak", "dry-run", "x", "y", "constructor"), {
				maxLength: 2,
			}),
			order: fc.constantFrom(null, "a", "b"),
			isUp: fc.boolean(),
		});
		fc.assert(
			fc.property(fc.array(look, { maxLength: 200 }), (looks) => {
				const story = new Story();
				const begunMs = story.nowMs;
				const open = new Set<string>();
				let told = 0;
				for (const { afterMs, codes, order: id, isUp } of looks) {
					const status = { ...(id === null ? {} : order(id)), ...trip(...codes) };
					const news = story.see(status, afterMs, isUp ? UP : DOWN);
					told += news.length;
					expect(told).toBeLessThanOrEqual(20 + (story.nowMs - begunMs) / 180_000);
					if (!isUp) continue;
					for (const code of [...open]) if (!codes.some((one) => one === code)) open.delete(code);
					for (const { event, trip: code } of news) {
						if (event !== "trip") continue;
						expect(open.has(code)).toBe(false);
						expect(codes).toContain(code);
						open.add(code);
					}
				}
			}),
			{ seed: 9, numRuns: 300 },
		);
	});
});

describe("a message's words", () => {
	it("hold nothing that a terminal obeys or an environment cannot hold, and have an end", () => {
		const text = `\u0000\u001b[2J\n\u202e${"😀".repeat(600)}`;
		const { rig, cause, toDo } = tamed({
			...{ event: "trip", trip: "leak" },
			...{ rig: text, cause: text, toDo: text },
		});
		for (const one of [rig, cause, toDo]) {
			expect(one).not.toMatch(/[\p{Cc}\p{Cf}\p{Cs}]/u);
			expect(one.length).toBeLessThanOrEqual(600);
		}
	});
});
