// A condition becomes a finding when it has held for its time: when the edge is due, what a gap
// does, and how flapping counts, as tables of ticks.

import { describe, expect, it } from "vitest";
import { EMPTY_LEAKY, type Leaky } from "../../firmware/sense/leaky.ts";
import {
	type Edge,
	isSettled,
	type Qualifier,
	qualify,
	type Times,
	UNQUALIFIED,
} from "../../firmware/sense/qualify.ts";

const QUALIFIED: Qualifier = { on: true, towards: EMPTY_LEAKY };
const protects: Times = { onMs: 500, offMs: 2_000, leaky: true };
const permits: Times = { onMs: 500, offMs: 2_000, leaky: false };

type Ticks = ReadonlyArray<readonly [nowMs: number, seen: boolean | null]>;

/** The edges that these ticks give, and where they end. */
function walk(ticks: Ticks, times: Times, from: Qualifier = UNQUALIFIED) {
	let state = from;
	const edges: Edge[] = [];
	for (const [nowMs, seen] of ticks) {
		const next = qualify(state, seen, times, nowMs);
		state = next.state;
		if (next.edge !== undefined) edges.push(next.edge);
	}
	return { state, edges };
}

it("nothing is found at first", () => {
	expect(UNQUALIFIED).toEqual({ on: false, towards: { ms: 0, atMs: 0, seen: false } });
});

describe("an edge is due", () => {
	it.each<[string, Ticks, Times, Qualifier, Edge[]]>([
		[
			"in the tick in which the time is reached",
			[
				[1_000, true],
				[1_499, true],
				[1_500, true],
			],
			protects,
			UNQUALIFIED,
			[{ on: true, atMs: 1_500 }],
		],
		[
			"not a millisecond before",
			[
				[1_000, true],
				[1_499, true],
			],
			protects,
			UNQUALIFIED,
			[],
		],
		[
			"in between, where a tick comes late",
			[
				[1_000, true],
				[1_200, true],
				[9_000, true],
			],
			protects,
			UNQUALIFIED,
			[{ on: true, atMs: 1_500 }],
		],
		[
			"in a late tick that no longer sees it, too",
			[
				[1_000, true],
				[9_000, false],
			],
			protects,
			UNQUALIFIED,
			[{ on: true, atMs: 1_500 }],
		],
		[
			"in a late tick that says nothing, too",
			[
				[1_000, true],
				[9_000, null],
			],
			protects,
			UNQUALIFIED,
			[{ on: true, atMs: 1_500 }],
		],
		[
			"at its end after its own time",
			[
				[1_000, false],
				[2_999, false],
				[3_200, false],
			],
			protects,
			QUALIFIED,
			[{ on: false, atMs: 3_000 }],
		],
		[
			"for a permit after the same time",
			[
				[1_000, true],
				[1_600, true],
			],
			permits,
			UNQUALIFIED,
			[{ on: true, atMs: 1_500 }],
		],
	])("%s", (_, ticks, times, from, edges) => {
		expect(walk(ticks, times, from).edges).toEqual(edges);
	});

	it.each([true, false])("at once where no time is asked for (leaky: %s)", (leaky) => {
		const none: Times = { onMs: 0, offMs: 0, leaky };
		const { edges, state } = walk(
			[
				[1_000, true],
				[1_100, false],
			],
			none,
		);
		expect(edges).toEqual([
			{ on: true, atMs: 1_000 },
			{ on: false, atMs: 1_100 },
		]);
		expect(state).toBe(UNQUALIFIED);
	});
});

describe("flapping", () => {
	const flaps: Ticks = [
		[0, true],
		[300, false],
		[400, true],
		[600, false],
		[700, true],
		[719, true],
		[740, true],
	];

	it("adds up towards a protective finding, less the leak", () => {
		// 300 - 20 + 200 - 20 = 460 at 700 ms; 40 ms more are due at 740.
		const { edges, state } = walk(flaps.slice(0, -1), protects);
		expect(edges).toEqual([]);
		expect(state.towards).toEqual({ ms: 479, atMs: 719, seen: true });
		expect(walk(flaps, protects).edges).toEqual([{ on: true, atMs: 740 }]);
	});

	it("never leads to a permit", () => {
		const { edges, state } = walk([...flaps, [1_199, true]], permits);
		expect(edges).toEqual([]);
		expect(state.towards).toEqual({ ms: 499, atMs: 1_199, seen: true });
		expect(walk([...flaps, [1_199, true], [1_200, true]], permits).edges).toHaveLength(1);
	});

	it("never ends a protective finding", () => {
		const ticks: Ticks = [
			[0, false],
			[1_900, true],
			[2_000, false],
			[3_900, null],
			[4_000, false],
			[5_999, false],
		];
		expect(walk(ticks, protects, QUALIFIED).edges).toEqual([]);
		const last = walk([...ticks, [6_000, false]], protects, QUALIFIED);
		expect(last.edges).toEqual([{ on: false, atMs: 6_000 }]);
	});
});

describe("inputs that say nothing", () => {
	it("keep the count towards a protective finding as it is", () => {
		const ticks: Ticks = [
			[0, true],
			[400, null],
			[5_000, null],
			[5_100, true],
			[5_199, true],
		];
		expect(walk(ticks, protects).edges).toEqual([]);
		expect(walk([...ticks, [5_250, true]], protects).edges).toEqual([{ on: true, atMs: 5_200 }]);
	});

	it("do not tip a count over by themselves: a tick must see it", () => {
		const full: Leaky = { ms: 500, atMs: 0, seen: null };
		const held = qualify({ on: false, towards: full }, null, protects, 100);
		expect(held.edge).toBeUndefined();
		expect(qualify(held.state, false, protects, 200).edge).toBeUndefined();
		expect(qualify(held.state, true, protects, 200).edge).toEqual({ on: true, atMs: 200 });
	});

	it.each<[string, Qualifier]>([
		["a permit on its way", { on: false, towards: { ms: 400, atMs: 0, seen: true } }],
	])("break off %s", (_, before) => {
		expect(qualify(before, null, permits, 100)).toEqual({ state: UNQUALIFIED });
	});

	it("break off the end of a finding, protective or not", () => {
		const ending: Qualifier = { on: true, towards: { ms: 1_900, atMs: 0, seen: true } };
		expect(qualify(ending, null, protects, 3_000)).toEqual({ state: QUALIFIED });
		expect(qualify(ending, null, permits, 3_000)).toEqual({ state: QUALIFIED });
	});
});

describe("the object stays the same", () => {
	it("while nothing counts", () => {
		const fresh: Qualifier = { on: false, towards: { ms: 0, atMs: 0, seen: false } };
		expect(qualify(fresh, false, protects, 100).state).toBe(fresh);
	});

	it("for every finding that is there, and for every one that is not", () => {
		const on = walk([[1_000, true]], { ...protects, onMs: 0 }).state;
		expect(qualify(on, true, protects, 1_100).state).toBe(on);
		expect(qualify(UNQUALIFIED, false, permits, 100).state).toBe(UNQUALIFIED);
	});
});

describe("settled", () => {
	it.each<[string, Qualifier, boolean | null, boolean]>([
		["not there and not seen", UNQUALIFIED, false, true],
		["there and seen", QUALIFIED, true, true],
		["not there and seen", UNQUALIFIED, true, false],
		["there and not seen", QUALIFIED, false, false],
		["nothing said", UNQUALIFIED, null, false],
		["on its way", { on: false, towards: { ms: 5, atMs: 0, seen: true } }, false, false],
	])("%s: %s", (_, qualifier, seen, settled) => {
		expect(isSettled(qualifier, seen)).toBe(settled);
	});
});
