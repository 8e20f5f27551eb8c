// Every state that the statechart can come to, under every event and every delay, and what must
// hold there. Then statecharts that were spoilt on purpose, one for each claim: the same walk must
// find each of them out.

import { describe, expect, it } from "vitest";
import { enqueueActions, StateMachine } from "xstate";
import { stateName } from "../../firmware/cycle/advance.ts";
import { stateNames } from "../../firmware/cycle/effects.ts";
import { createStatechart, type Statechart } from "../../firmware/cycle/statechart.ts";
import { rig, walk } from "./exploration.ts";
import { breaks, type ClaimName, claims, stranded } from "./statechart-claims.ts";
import { fewHappenings } from "./statechart-events.ts";

const chart = createStatechart(rig);

describe("all that the statechart can come to", () => {
	const whole = walk(chart, breaks);

	it("keeps every claim, at every move", () => {
		expect(whole.found).toEqual([]);
	});

	it("is a great many places, each state among them, and a great many more moves", () => {
		expect(whole.places.size).toBeGreaterThan(12_000);
		expect(whole.movesMade).toBeGreaterThan(2_000_000);
		const reached = new Set([...whole.places.values()].map(({ cycle }) => stateName(cycle.value)));
		expect([...reached].sort()).toEqual([...stateNames].sort());
	});

	it("has a way on from everywhere, and a way back to idle", () => {
		expect([...whole.leadsTo].filter(([, to]) => to.size === 0)).toEqual([]);
		expect(stranded(whole)).toEqual([]);
	});
});

type Tree = { [key: string]: unknown };

/** The chart with its configuration changed: a copy, in which one place is looked up by a path. */
function changed(path: string, change: (node: Tree) => void): Statechart {
	const config = copy(chart.config) as Tree;
	let node = config;
	for (const key of path === "" ? [] : path.split(".")) node = node[key] as Tree;
	change(node);
	type Config = ConstructorParameters<typeof StateMachine>[0];
	const made = new StateMachine(config as Config, chart.implementations as never);
	return made as unknown as Statechart;
}

function copy(value: unknown): unknown {
	if (Array.isArray(value)) return value.map(copy);
	if (typeof value !== "object" || value === null) return value;
	return Object.fromEntries(Object.entries(value).map(([key, inner]) => [key, copy(inner)]));
}

const START = "states.working.states.priming.states";

const spoilt: ReadonlyArray<readonly [ClaimName, string, Statechart]> = [
	[
		"the pump is demanded while drawing and polishing only",
		"K1 stays closed between two tries",
		changed(`${START}.pausing`, (node) => {
			node.tags = ["k1", "beat"];
		}),
	],
	[
		"a contact is closed in a start or a run only",
		"the beat goes on in a rest",
		changed("states.working.states.resting", (node) => {
			node.tags = "beat";
		}),
	],
	[
		"an order is taken if, and only if, what is present lets it start",
		"any order is taken",
		chart.provide({ guards: { mayStart: ({ event }) => event.type === "order" } }),
	],
	[
		"each start asks what is present, and goes by it",
		"a start does not look again",
		chart.provide({ guards: { mayNotGoOn: () => false } }),
	],
	[
		"each start asks what is present, and goes by it",
		"it draws again after a rest, without a start",
		changed("states.working.states.resting.after", (node) => {
			node.rest = "#cycle.working.priming.announcing";
		}),
	],
	[
		"the horn warns for its time before the pump is demanded",
		"the horn is short",
		chart.provide({ delays: { hornTime: 9_900 } }),
	],
	[
		"the horn warns for its time before the pump is demanded",
		"the next try comes without a horn",
		changed(`${START}.pausing.after`, (node) => {
			node.primeRest = "drawing";
		}),
	],
	[
		"a trip is left by an acknowledgement that clears it, and by nothing else",
		"any acknowledgement is taken",
		chart.provide({ guards: { acknowledgeRefused: () => false } }),
	],
	[
		"a trip is left by an acknowledgement that clears it, and by nothing else",
		"a stop leads out of a trip",
		changed("states.tripped.on", (node) => {
			node.stop = { target: "idle", actions: { type: "end", params: { outcome: "stopped" } } };
		}),
	],
	[
		"what stops it stops it in the same step",
		"a stop is not heard",
		changed("states.working.on", (node) => {
			delete node.stop;
		}),
	],
	[
		"what stops it stops it in the same step",
		"an alarm is noted and no more",
		changed("on.alarm", (node) => {
			delete node.target;
		}),
	],
	[
		"what stops it stops it in the same step",
		"trouble waits for the end of the run",
		changed("states.working.on", (node) => {
			node.trouble = {};
		}),
	],
	[
		"an open trip stays open until it is acknowledged",
		"a drained bowl clears what is open",
		chart.provide({
			actions: { noteDrain: enqueueActions(({ enqueue }) => enqueue.assign({ trips: [] })) },
		}),
	],
	[
		"a trip is told as it opens, and once",
		"a trip is told whenever it is found",
		chart.provide({
			actions: {
				trip: enqueueActions(({ enqueue }, { code }) => {
					enqueue.emit({ type: "trip", code, cause: "again" });
				}),
			},
		}),
	],
	[
		"an order that is open is at work, or a trip will let it go on",
		"a stop forgets to end the order",
		changed("states.working.on", (node) => {
			node.stop = { target: "idle" };
		}),
	],
	[
		"a burst counts when the bowl has stood, and fuel was moved",
		"air counts as well",
		chart.provide({
			actions: {
				countBurst: enqueueActions(({ context, enqueue }) => {
					enqueue.assign({ dryBursts: context.dryBursts + 1 });
				}),
			},
		}),
	],
	[
		"a burst counts when the bowl has stood, and fuel was moved",
		"it counts before the bowl has stood",
		changed("states.working.states.polishing.on", (node) => {
			node["burst-done"] = { guard: "isSweeping", target: "standing", actions: "countBurst" };
		}),
	],
	[
		"a sweep is finished by its last dry burst, and by nothing else",
		"it sweeps for ever",
		chart.provide({ guards: { isSwept: () => false } }),
	],
	[
		"a sweep is finished by its last dry burst, and by nothing else",
		"one burst will do",
		chart.provide({ guards: { isSwept: () => true } }),
	],
	[
		"what rests, stands or is held will go on by itself",
		"nobody looks at a rest's end",
		changed("states.working.states.resting", (node) => {
			delete node.after;
		}),
	],
	[
		"what stops it stops it in the same step",
		"a burst goes on",
		changed("states.working.states.polishing.on", (node) => {
			delete node["burst-done"];
		}),
	],
	[
		"what stops it stops it in the same step",
		"a warm motor goes on",
		changed("states.working.states.polishing.on", (node) => {
			delete node["motor-warm"];
		}),
	],
	[
		"without fuel it tries to prime so often and not more",
		"it tries for ever",
		chart.provide({ guards: { triesLeft: () => true } }),
	],
	[
		"without fuel it tries to prime so often and not more",
		"a hold gives one more try",
		chart.provide({ guards: { noTriesLeft: () => false } }),
	],
];

describe("a spoilt statechart is found out", () => {
	it.each(spoilt)("%s: %s", (name, _, bad) => {
		expect(walk(bad, claims[name], { events: fewHappenings }).found.length).toBe(1);
	});

	it("where nothing leads back to idle", () => {
		const deaf = changed("states.tripped.on", (node) => {
			delete node.acknowledge;
		});
		const all = walk(deaf, () => null, { events: fewHappenings });
		expect(stranded(all).length).toBeGreaterThan(5);
	});

	it("and every claim has one", () => {
		const names = new Set(spoilt.map(([name]) => name));
		expect(Object.keys(claims).filter((name) => !names.has(name as ClaimName))).toEqual([]);
	});
});
