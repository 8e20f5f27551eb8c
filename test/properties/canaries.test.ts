// Each rule that protects has a canary: with the rule its run breaks nothing; without it exactly
// what canaries.yaml names breaks. The interlock's rules are tried with the detectors of their
// hazard taken out, since they are the second layer. A rule without a canary fails.

import { describe, expect, it } from "vitest";
import { optionalSensors } from "../../firmware/config/optional-sensors.ts";
import { interlockRules } from "../../firmware/interlock.ts";
import type { FindingName } from "../../firmware/sense/finding-names.ts";
import { planFindings } from "../../firmware/sense/findings.ts";
import { exampleRig } from "../stories/world.ts";
import { breaksOf, type Canary, canaries, play, type SecondLayer } from "./canary-runs.ts";

const { findings, interlock, others } = canaries;

describe("a finding's row that is taken out breaks what its canary names", () => {
	it.each(findings.map((row) => [row.rule, row] as const))("%s", (rule, row) => {
		const well = play(row);
		expect(well.broken, well.found.join("; ")).toEqual([]);
		const worse = play(row, { findings: [rule as FindingName] });
		expect(worse.broken, worse.found.join("; ")).toEqual(breaksOf(row));
	});
});

describe("the interlock stops what its detectors have missed, and its rule is why", () => {
	it.each(interlock.map((row) => [row.rule, row] as const))("%s", (rule, row) => {
		const missed = { findings: row.detectors, delays: row.delays };
		const second = play(row, missed);
		const [first] = second.run.records.filter((record) => record.kind === "trip");
		expect(first?.code, second.found.join("; ")).toBe(row.catches);
		expect(first?.cause).toMatch(/^interlock: /);
		const nothing = play(row, { ...missed, interlock: rule });
		const more = nothing.broken.filter((name) => !second.broken.includes(name));
		expect(more, nothing.found.join("; ")).toEqual(breaksOf(row));
	});
});

describe("what no row and no rule stands for", () => {
	it.each(others.map((row) => [row.rule, row] as const))("%s", (rule, row) => {
		expect(play(row).broken).toEqual([]);
		expect(play(row, { other: rule }).broken).toEqual(breaksOf(row));
	});
});

describe("the list", () => {
	it("has a canary for every row of the findings, and for no other", () => {
		const rig = { ...exampleRig(), sensors: [...optionalSensors] };
		const rows = planFindings(rig).rows.map(([name]) => name);
		expect(findings.map(({ rule }) => rule).sort()).toEqual([...rows].sort());
	});

	it("has one for every rule of the interlock, and for the stop button's", () => {
		const rules = ["stop", ...interlockRules.map(([past]) => past)];
		expect(interlock.map(({ rule }) => rule).sort()).toEqual(rules.sort());
	});

	it("has the beat, the dead-man and the gap between ticks", () => {
		expect(others.map(({ rule }) => rule)).toEqual(["beat", "dead-man", "tick-gap"]);
	});
});

describe("a canary that is wrong sings", () => {
	const of = (rule: string): Canary => {
		const row = findings.find((one) => one.rule === rule);
		if (row === undefined) throw new Error(`no canary ${rule}`);
		return row;
	};

	it("another row's absence breaks nothing of it", () => {
		expect(play(of("leak"), { findings: ["water"] }).broken).toEqual([]);
	});

	it("an expectation that fails in any case is seen", () => {
		const story = { ...of("leak").story, expect: [{ outcome: "finished" }] };
		expect(play({ ...of("leak"), story } as Canary).broken).toEqual(["ends finished"]);
	});

	it("an interlock's rule does not fire while its detector is there", () => {
		const row = interlock.find(({ rule }) => rule === "probeWetMs") as SecondLayer;
		const [trip] = play(row).run.records.filter((record) => record.kind === "trip");
		expect(trip?.cause).not.toMatch(/^interlock/);
	});
});
