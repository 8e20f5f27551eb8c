// What a pulled log tells of proven stops: the last result of each step, what spoils it, and where
// the check before a passage and the season's paper say so.

import { describe, expect, it } from "vitest";
import type { Part } from "../../firmware/commission/parts.ts";
import type { Step } from "../../firmware/commission/step-rows.ts";
import { proofsOf } from "../../host/archive/proofs.ts";
import { readiness } from "../../host/archive/readiness.ts";
import { READY_LIMITS, SEASON_LIMITS } from "../../host/archive/ready-limits.ts";
import { paperText } from "../../host/report/paper-text.ts";
import { seasonOfLog } from "../../host/report/season.ts";
import { seasonPaper } from "../../host/report/season-blocks.ts";
import { seasonAnswer } from "../../host/report/season-schema.ts";
import { SI } from "../../host/web/units.ts";
import { en } from "../../host/web/words/en.ts";
import { rigOf, StoreWriter, tallies } from "./season-log.ts";

const DAY = 86_400_000;
const april = Date.UTC(2026, 3, 10, 8);

class Proven extends StoreWriter {
	proof(step: Step, passed = true, endedBy: string | null = null, counts = !endedBy): this {
		const told = {
			id: `${step}-1`,
			reasons: [],
			values: {},
			marks: "m",
			by: "AB",
			localTime: null,
		};
		return this.write({ kind: "proof", step, passed, counts, endedBy, ...told });
	}

	changed(part: Part): this {
		return this.write({ kind: "part-changed", id: `${part}-1`, part, by: "AB", localTime: null });
	}
}

const store = (id = "one", utcMs: number | null = april) => new Proven(id).boot(utcMs);
const proofs = (stores: readonly Proven[], days = 1) =>
	proofsOf(rigOf(stores), april + days * DAY).map(({ step, due }) => [step, due]);

describe("proofs in a log", () => {
	it("are the last result of each step, in the catalogue's order", () => {
		const log = store().proof("dead-man").proof("lamps", false).proof("lamps");
		expect(proofs([log])).toEqual([
			["lamps", null],
			["dead-man", null],
		]);
	});

	it("are not spoilt by a step that was given up in time, and are by one that failed", () => {
		expect(proofs([store().proof("lamps").proof("lamps", false, "end-1")])).toEqual([
			["lamps", null],
		]);
		expect(proofs([store().proof("lamps").proof("lamps", false)])).toEqual([
			["lamps", "not passed"],
		]);
		expect(proofs([store().proof("lamps").proof("lamps", false, "end-1", true)])).toEqual([
			["lamps", "not passed"],
		]);
	});

	it("are due again after a change of one of their parts, until they pass anew", () => {
		const log = store().proof("probe").proof("lamps").changed("probe");
		expect(proofs([log])).toEqual([
			["lamps", null],
			["probe", "changed since: the water probe or the bowl"],
		]);
		expect(proofs([log.proof("probe")])).toEqual([
			["lamps", null],
			["probe", null],
		]);
	});

	it("are due again after their days, where they have any", () => {
		const log = store().proof("dead-man").proof("lamps");
		expect(proofs([log], 29)).toEqual([
			["lamps", null],
			["dead-man", null],
		]);
		expect(proofs([log], 45)[1]).toEqual(["dead-man", "passed 45 days ago, due after 30"]);
		expect(proofs([log], 400)[0]).toEqual(["lamps", null]);
	});

	it("that nobody dated are due where days count", () => {
		expect(proofs([store("one", null).proof("dead-man").proof("lamps")])).toEqual([
			["lamps", null],
			["dead-man", "when it passed is not known"],
		]);
	});

	it("of a log that another one has followed prove nothing", () => {
		expect(proofs([store().proof("lamps"), store("two")])).toEqual([]);
	});
});

describe("what is said of them", () => {
	const log = store().proof("dead-man").proof("lamps");
	const rig = rigOf([log]);

	it("is a caution of the check before a passage, and never makes it fail", () => {
		const at = april + 45 * DAY;
		const answer = readiness(rig, READY_LIMITS, at);
		const said = answer.cautions.join("\n");
		expect(said).toContain("Proven stops: 1 step of commissioning holds by this log.");
		expect(said).toContain("dead-man (passed 45 days ago, due after 30)");
		const without = readiness(rigOf([store()]), READY_LIMITS, at);
		expect(without.cautions.join()).not.toContain("Proven stops");
		expect(answer.checks.map(({ check }) => check)).toEqual(
			without.checks.map(({ check }) => check),
		);
	});

	it("is a table of the season", () => {
		const at = april + 45 * DAY;
		const answer = seasonAnswer.parse(seasonOfLog(rig, tallies([log]), at, SEASON_LIMITS, "UTC"));
		const text = paperText(seasonPaper(answer, SI, en));
		expect(text).toMatch(/Proven stops\nstep of commissioning +when +due again +state/);
		expect(text).toMatch(/Both lamps +2026-04-10 08:00 +after a change +passed/);
		expect(text).toMatch(/The dead-man opens .* after 30 days +passed 45 days ago/);
	});
});
