// The comparison of edges finds what differs: from a real run's edges, as a board would make them,
// one is moved, dropped, turned round or added.

import { describe, expect, it } from "vitest";
import { compareEdges, type Edge, edgesOf } from "../../sim/bench/edges.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { pins, root } from "./world.ts";

const { scenario, rig } = loadScenario(findScenario(root, "water-under-the-tube"));
const run = runScenario(scenario, rig, pins);
const asked = run.boots.flatMap(({ tape }) => edgesOf(tape));
const untilMs = run.simulatedSeconds * 1_000;
const tolerance = { tickMs: 100, lineMs: 4, lateTicks: 1, untilMs };
/** As a board makes them: half a millisecond a command after the tick. */
const made = asked.map((edge, i) => ({ ...edge, atMs: edge.atMs + 0.5 + (i % 5) / 2 }));

/** The edges with the one at a place replaced. */
const changed = (at: number, by: (edge: Edge) => readonly Edge[]) =>
	made.flatMap((edge, i) => (i === at ? by(edge) : [edge]));
/** Where the nth edge of a channel stands. */
function placeOf(channel: string, nth: number): number {
	const places = made.flatMap((edge, i) => (edge.channel === channel ? [i] : []));
	return places.at(nth) ?? Number.NaN;
}
const find = (edges: readonly Edge[], options = tolerance) =>
	compareEdges(asked, edges, options).map(({ channel, what }) => `${channel} ${what}`);

it("a run's edges are of every output, and agree with themselves", () => {
	expect(new Set(asked.map(({ channel }) => channel)).size).toBe(7);
	expect(find(made)).toEqual([]);
});

describe.each(["dead-man-beat", "probe-plus", "probe-minus"])("%s", (channel) => {
	const at = placeOf(channel, 40);

	it("moved by a tick is found, and by 5 ms", () => {
		for (const lateMs of [100, 5]) {
			const found = find(changed(at, (edge) => [{ ...edge, atMs: edge.atMs + lateMs }]));
			expect(found).toHaveLength(1);
			expect(found[0]).toContain(channel);
		}
	});

	it("dropped is found", () => {
		expect(find(changed(at, () => []))[0]).toMatch(new RegExp(`^${channel} its partner goes`));
	});
});

describe.each(["pump-demand", "lamp-pump", "lamp-trip", "horn"])("%s", (channel) => {
	const at = placeOf(channel, -1);
	const moved = (byMs: number) =>
		find(changed(at, (edge) => [{ ...edge, atMs: edge.atMs + byMs }]));

	it("a tick late is let pass, two are found, and so is one too early", () => {
		expect(moved(100)).toEqual([]);
		expect(moved(200)[0]).toMatch(new RegExp(`^${channel} its partner comes 20`));
		expect(moved(-100)[0]).toMatch(new RegExp(`^${channel} its partner comes -`));
	});

	it("dropped is found, even the last", () => {
		expect(find(changed(at, () => []))).toEqual([`${channel} has no partner`]);
	});
});

it("a level the wrong way round is found", () => {
	const at = placeOf("pump-demand", 0);
	const found = find(changed(at, (edge) => [{ ...edge, high: !edge.high }]));
	expect(found).toEqual(["pump-demand its partner goes low"]);
});

it("an edge that nobody asked for is found; a beat that goes on for a tick is let pass", () => {
	const at = placeOf("dead-man-beat", -1);
	const more = (byMs: number) =>
		find(changed(at, (edge) => [edge, { ...edge, high: !edge.high, atMs: edge.atMs + byMs }]));
	expect(more(100)).toEqual([]);
	expect(more(200)).toEqual(["dead-man-beat nobody asked for it"]);
	const lamp = placeOf("lamp-trip", -1);
	expect(
		find(changed(lamp, (edge) => [edge, { ...edge, high: false, atMs: edge.atMs + 300 }])),
	).toEqual(["lamp-trip nobody asked for it"]);
});
