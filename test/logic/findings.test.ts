// How rows become findings and events: rows made up for the purpose, ticks, and what comes out. The
// rows of a real rig have their own tests.

import { describe, expect, it } from "vitest";
import type { FindingName } from "../../firmware/sense/finding-names.ts";
import type { Row, Seen } from "../../firmware/sense/finding-row.ts";
import {
	type FindingsPlan,
	type FindingsState,
	find,
	findingsAtBoot,
	holdsIn,
	isFound,
	planFindings,
} from "../../firmware/sense/findings.ts";
import { EMPTY_LEAKY } from "../../firmware/sense/leaky.ts";
import { UNQUALIFIED } from "../../firmware/sense/qualify.ts";
import type { Moment } from "../../firmware/sense/quantity.ts";
import { wellSensed } from "../stories/well.ts";
import { rig } from "./rig.ts";

/** What each row sees; a name that is not there sees nothing wrong. */
type Sight = Partial<Record<FindingName, Seen>>;

/** A walk through ticks with rows that see what they are told to. */
class Walk {
	readonly plan: FindingsPlan;
	state: FindingsState;
	private sight: Sight = {};
	private nowMs = 0;

	constructor(rows: Partial<Record<FindingName, Partial<Row>>>) {
		const entries = Object.entries(rows) as Array<[FindingName, Partial<Row>]>;
		this.plan = {
			rig,
			places: Object.fromEntries(entries.map(([name], place) => [name, place])),
			rows: entries.map(([name, row], place) => [
				name,
				{ onMs: 0, offMs: 0, ...row, seen: () => this.seen(name) },
				place,
			]),
		};
		this.state = findingsAtBoot(this.plan);
	}

	private seen(name: FindingName): Seen {
		const { [name]: seen = false } = this.sight;
		return seen;
	}

	tick(nowMs: number, sight: Sight = {}) {
		this.sight = sight;
		const moment: Moment = {
			nowMs,
			elapsedMs: nowMs - this.nowMs,
			motorOn: true,
			polishing: true,
			run: "a",
			tank: "port",
			sameTank: true,
			toTank: undefined,
		};
		this.nowMs = nowMs;
		const found = find(this.plan, this.state, wellSensed, moment);
		this.state = found.state;
		return found;
	}
}

const flow: NonNullable<Row["event"]> = (on, atMs) => ({
	type: on ? "flow-established" : "flow-lost",
	atMs,
});

describe("a plan", () => {
	it("has the rig's rows, less those that a test leaves out", () => {
		const names = planFindings(rig).rows.map(([name]) => name);
		const without = planFindings(rig, ["water", "stop"]).rows.map(([name]) => name);
		expect(without).toEqual(names.filter((name) => name !== "water" && name !== "stop"));
		expect(without).toHaveLength(names.length - 2);
	});

	it("begins with nothing found", () => {
		const plan = planFindings(rig);
		const state = findingsAtBoot(plan);
		expect(state).toHaveLength(plan.rows.length);
		expect(new Set(state)).toEqual(new Set([UNQUALIFIED]));
	});
});

describe("what is found", () => {
	it("is there until it ends; a row that the rig lacks never is", () => {
		const walk = new Walk({ leak: {} });
		expect(isFound(walk.plan, walk.state, "leak")).toBe(false);
		walk.tick(100, { leak: true });
		expect(isFound(walk.plan, walk.state, "leak")).toBe(true);
		expect(isFound(walk.plan, walk.state, "water")).toBe(false);
		walk.tick(200);
		expect(isFound(walk.plan, walk.state, "leak")).toBe(false);
	});

	it("sends its row's event once an edge, with the time at which it was due", () => {
		const walk = new Walk({ primed: { onMs: 500, event: flow } });
		expect(walk.tick(100, { primed: true }).events).toEqual([]);
		expect(walk.tick(900, { primed: true }).events).toEqual([
			{ type: "flow-established", atMs: 600 },
		]);
		expect(walk.tick(1_000, { primed: true }).events).toEqual([]);
		expect(walk.tick(1_100).events).toEqual([{ type: "flow-lost", atMs: 1_100 }]);
	});

	it("sends nothing where its row has no event, or that says none", () => {
		const walk = new Walk({ leak: {}, dry: { event: () => null } });
		const { events, state } = walk.tick(100, { leak: true, dry: true });
		expect(events).toEqual([]);
		expect(isFound(walk.plan, state, "leak") && isFound(walk.plan, state, "dry")).toBe(true);
	});

	it("ends for what protects only after its own time; flapping leads to it", () => {
		const walk = new Walk({ leak: { onMs: 200, offMs: 1_000 } });
		for (const [nowMs, leak] of [
			[0, true],
			[150, false],
			[200, true],
			[260, true],
		] as const) {
			walk.tick(nowMs, { leak });
		}
		expect(isFound(walk.plan, walk.state, "leak")).toBe(true);
		walk.tick(300);
		walk.tick(1_299);
		expect(isFound(walk.plan, walk.state, "leak")).toBe(true);
		walk.tick(1_300);
		expect(isFound(walk.plan, walk.state, "leak")).toBe(false);
	});

	it("does not come of flapping where it permits something", () => {
		const walk = new Walk({ primed: { onMs: 200, permits: true } });
		for (const [nowMs, primed] of [
			[0, true],
			[150, false],
			[200, true],
			[399, true],
		] as const) {
			walk.tick(nowMs, { primed });
		}
		expect(isFound(walk.plan, walk.state, "primed")).toBe(false);
		walk.tick(400, { primed: true });
		expect(isFound(walk.plan, walk.state, "primed")).toBe(true);
	});

	it("leaves the state the same object where nothing changes, and the old one as it was", () => {
		const walk = new Walk({ leak: {}, water: {} });
		const before = walk.state;
		expect(walk.tick(100).state).toBe(before);
		const after = walk.tick(200, { leak: true }).state;
		expect(isFound(walk.plan, before, "leak")).toBe(false);
		expect(walk.tick(300, { leak: true }).state).toBe(after);
		expect(after[1]).toBe(before[1]);
	});

	it("leaves it the same object too where it comes from elsewhere, as after a replay", () => {
		const read = new Walk({ leak: { onMs: 500 }, water: {} });
		const parsed: FindingsState = JSON.parse(JSON.stringify(read.state));
		read.state = parsed;
		expect(read.tick(100).state).toBe(parsed);
		const made = new Walk({ primed: { permits: true }, leak: {} });
		const there = { on: true, towards: EMPTY_LEAKY };
		const own = [{ on: false, towards: EMPTY_LEAKY }, there];
		made.state = own;
		expect(made.tick(100, { leak: true }).state).toBe(own);
	});

	it("of a row that the state does not know yet is not there, and begins anew", () => {
		const walk = new Walk({ cold: { hold: "cold" }, leak: {} });
		walk.state = [];
		expect(isFound(walk.plan, walk.state, "leak")).toBe(false);
		expect(holdsIn(walk.plan, walk.state)).toEqual([]);
		expect(isFound(walk.plan, walk.tick(100, { leak: true }).state, "leak")).toBe(true);
	});
});

describe("an end that must be seen", () => {
	const rows = (): ConstructorParameters<typeof Walk>[0] => ({
		probeLost: {},
		water: { endsWith: "probeLost", event: flow },
	});

	it("comes without an event where the sensor is found lost, in that very tick", () => {
		const walk = new Walk(rows());
		walk.tick(100, { water: true });
		const { events, state } = walk.tick(200, { water: null, probeLost: true });
		expect(events).toEqual([]);
		expect(state[1]).toBe(UNQUALIFIED);
	});

	it("does not come while the sensor is silent but not yet lost", () => {
		const walk = new Walk(rows());
		walk.tick(100, { water: true });
		expect(isFound(walk.plan, walk.tick(200, { water: null }).state, "water")).toBe(true);
	});

	it("does not come while the sensor, though lost, says that it is there", () => {
		const walk = new Walk(rows());
		walk.tick(100, { water: true, probeLost: true });
		const { events, state } = walk.tick(200, { water: true, probeLost: true });
		expect(events).toEqual([]);
		expect(isFound(walk.plan, state, "water")).toBe(true);
	});

	it("is told where it is seen, sensor lost or not", () => {
		const walk = new Walk(rows());
		walk.tick(100, { water: true, probeLost: true });
		expect(walk.tick(200, { probeLost: true }).events).toEqual([{ type: "flow-lost", atMs: 200 }]);
	});

	it("keeps a count on its way as it is while the sensor is lost", () => {
		const walk = new Walk({ probeLost: {}, water: { endsWith: "probeLost", onMs: 300 } });
		walk.tick(0, { water: true });
		walk.tick(200, { water: null, probeLost: true });
		walk.tick(300, { water: null, probeLost: true });
		expect(walk.state[1]?.towards).toEqual({ ms: 200, atMs: 300, seen: null });
	});

	it("is that of its own row only: others end as they do", () => {
		const walk = new Walk({ probeLost: {}, leak: {} });
		walk.tick(100, { leak: true, probeLost: true });
		expect(isFound(walk.plan, walk.tick(200, { leak: null, probeLost: true }).state, "leak")).toBe(
			true,
		);
	});
});

describe("the box's button", () => {
	const permits = true;
	const rows = (): ConstructorParameters<typeof Walk>[0] => ({
		buttonJammed: { permits, onMs: 20_000, offMs: 100 },
		buttonHeld: { permits, onMs: 3_000, offMs: 100 },
		button: { permits, onMs: 50, offMs: 50 },
	});
	const down: Sight = { buttonJammed: true, buttonHeld: true, button: true };
	/** What it was, and when: it is down from 0 until `upMs`, ticks are 100 ms. */
	const pressed = (upMs: number) => {
		const walk = new Walk(rows());
		const times = Array.from({ length: upMs / 100 + 5 }, (_, i) => i * 100);
		return times.flatMap((nowMs) => {
			const { button } = walk.tick(nowMs, nowMs < upMs ? down : {});
			return button === null ? [] : [[nowMs, button]];
		});
	};

	it("is pressed when it is let go after a short press", () => {
		expect(pressed(300)).toEqual([[400, "pressed"]]);
		expect(pressed(2_900)).toEqual([[3_000, "pressed"]]);
	});

	it("is held when it is let go after a press as long as arming takes", () => {
		expect(pressed(3_100)).toEqual([[3_200, "held"]]);
		expect(pressed(19_900)).toEqual([[20_000, "held"]]);
	});

	it("is neither when it was down for so long that it is jammed", () => {
		expect(pressed(20_100)).toEqual([]);
	});

	it("is neither where another row comes or goes", () => {
		const walk = new Walk({ leak: {}, water: {} });
		expect(walk.tick(100, { leak: true }).button).toBeNull();
		expect(walk.tick(200, { water: true }).button).toBeNull();
	});
});

describe("holds", () => {
	const rows = (): ConstructorParameters<typeof Walk>[0] => ({
		cold: { hold: "cold" },
		supplyRecovering: { hold: "supply-recovering" },
		leak: { event: flow },
	});

	it("are told all together, after the tick's other events, when one of them changes", () => {
		const walk = new Walk(rows());
		expect(walk.tick(100, { cold: true, leak: true }).events).toEqual([
			{ type: "flow-established", atMs: 100 },
			{ type: "holds", atMs: 100, causes: ["cold"] },
		]);
		const both = { cold: true, supplyRecovering: true, leak: true };
		expect(walk.tick(200, both).events).toEqual([
			{ type: "holds", atMs: 200, causes: ["cold", "supply-recovering"] },
		]);
		expect(walk.tick(300, both).events).toEqual([]);
		expect(walk.tick(400, { leak: true }).events).toEqual([
			{ type: "holds", atMs: 400, causes: [] },
		]);
	});

	it("are none of what only trips", () => {
		const walk = new Walk(rows());
		expect(walk.tick(100, { leak: true }).events).toEqual([
			{ type: "flow-established", atMs: 100 },
		]);
		expect(holdsIn(walk.plan, walk.state)).toEqual([]);
		walk.tick(200, { cold: true, leak: true });
		expect(holdsIn(walk.plan, walk.state)).toEqual(["cold"]);
	});
});
