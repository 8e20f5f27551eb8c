// Commissioning over the link: each answer fits a frame at its longest, and each command is decided
// by a record, over a restart too.

import { describe, expect, it } from "vitest";
import { entriesOf } from "../../firmware/commission/kinds.ts";
import { planProving } from "../../firmware/commission/plan.ts";
import { FILLS_MAX, PROOF_ROWS_MAX } from "../../firmware/commission/schemas.ts";
import { steps } from "../../firmware/commission/step-rows.ts";
import { fillList, proofList, proofNow } from "../../firmware/commission/telling.ts";
import type { Command } from "../../firmware/cycle/commands.ts";
import { Decisions } from "../../firmware/link/decisions.ts";
import { results } from "../../firmware/link/protocol.ts";
import type { RecordBody } from "../../firmware/log/record.ts";
import { linked } from "./link-rig.ts";
import { Prover } from "./prover.ts";
import { exampleRig, pins } from "./world.ts";

const rig = exampleRig();
const plan = planProving(rig, pins);
const atRest = () => new Prover().state.commission;

async function told(
	method: "proof.list" | "proof.now" | "fill.list",
	params: object,
	more: object,
) {
	const { client } = linked([], new Map(), more);
	await client.ask(1, method, params);
	const [answer] = client.answers;
	return results[method].parse(answer?.result);
}

describe("the answers", () => {
	it("to proof.list tell all steps, some at a time, however long their reasons", async () => {
		const before = atRest();
		const evidence = {
			...before.evidence,
			passedMin: plan.steps.map(() => 40_000_000),
			spoilt: plan.steps.map(() => "changed: \u0001".repeat(30)),
		};
		const seen: string[] = [];
		for (let from = 0; from < plan.steps.length; from += PROOF_ROWS_MAX) {
			const rows = proofList(plan, { ...before, evidence }, 0, from);
			const answer = await told("proof.list", { from }, { proofs: () => rows });
			expect(answer).toEqual(rows);
			expect(rows).toMatchObject({ total: plan.steps.length, dueCount: plan.steps.length });
			seen.push(...rows.rows.map(({ step }) => step));
		}
		expect(seen).toEqual(plan.steps);
	});

	it("to proof.now hold the longest end of a step", async () => {
		const last = {
			step: "trip-discharge" as const,
			passed: false,
			reasons: Array.from({ length: 9 }, () => "ی".repeat(400)),
			values: Object.fromEntries(
				Array.from({ length: 12 }, (_, i) => [`${i}`.padEnd(24, "n"), "ی".repeat(40)]),
			),
		};
		const now = proofNow({ ...atRest(), last }, null, 0);
		expect(await told("proof.now", {}, { trialNow: () => now })).toEqual(now);
		expect(now.last?.reasons.length).toBeGreaterThan(0);
	});

	it("to proof.now hold the longest step under way", async () => {
		const world = new Prover();
		world.start("meter");
		const { trial } = world.state.commission;
		if (trial === null) throw new Error("no trial");
		const long = { ...trial, id: "\u0001".repeat(64) };
		const now = proofNow({ ...world.state.commission, trial: long }, null, world.nowMs);
		expect(await told("proof.now", {}, { trialNow: () => now })).toEqual(now);
		expect(now.trial?.say).toContain("order a fill");
	});

	it("to fill.list hold as many fills as are kept", async () => {
		const fills = Array.from({ length: FILLS_MAX }, (_, i) => ({
			...{ seq: 2 ** 31 + i, pulses: 123_456 + i, litres: 99.123456, litresUncertainty: 0.123456 },
			...{ seconds: 12_345.678, struck: false, used: false },
		}));
		const before = atRest();
		const list = fillList({ ...before, evidence: { ...before.evidence, fills } });
		expect(await told("fill.list", {}, { fills: () => list })).toEqual(list);
		expect(list.perLitre).not.toBeNull();
	});
});

describe("decisions", () => {
	const ended: RecordBody = {
		...{ kind: "proof", id: "b", step: "lamps", passed: false, counts: false },
		...{ reasons: [], values: {}, marks: "", by: "x", localTime: null, endedBy: "e" },
	};
	const refused = (id: string): RecordBody => ({ kind: "proof-refused", id, reasons: ["no"] });
	const cases: ReadonlyArray<readonly [Command, RecordBody]> = [
		[
			{ type: "prove-begin", id: "b", step: "lamps", by: "x" },
			{ kind: "proof-begun", id: "b", step: "lamps", by: "x" },
		],
		[
			{ type: "prove-answer", id: "a", values: { horn: 2 } },
			{ kind: "proof-answer", id: "a", step: "horn", values: { horn: 2 } },
		],
		[{ type: "prove-end", id: "e" }, ended],
		[
			{ type: "change-part", id: "c", part: "tray", by: "x" },
			{ kind: "part-changed", id: "c", part: "tray", by: "x", localTime: null },
		],
		[
			{ type: "strike-fill", id: "s", fillSeq: 4, why: "spilt" },
			{ kind: "fill-struck", id: "s", fillSeq: 4, why: "spilt" },
		],
	];
	const head = { seq: 7, boot: 1, monoMs: 0 };

	it.each(cases)("%o", async (command, body) => {
		const yes = new Decisions();
		const accepted = yes.submit(command);
		yes.watch([{ ...head, ...body }], 7);
		expect(await accepted).toEqual({ accepted: true, reasons: [] });
		const no = new Decisions();
		const against = no.submit(command);
		no.watch([{ ...head, ...refused(command.id) }], 0);
		expect(await against).toEqual({ accepted: false, reasons: ["no"] });
		// Asked again after a restart it is not done again.
		const later = new Decisions([{ ...head, ...body }]);
		expect(await later.submit(command)).toEqual({ accepted: true, reasons: [] });
		expect(later.take()).toEqual([]);
	});
});

describe("the catalogue", () => {
	it("asks for entries that an answer can hold, each with words", () => {
		for (const step of steps) {
			const entries = entriesOf(step);
			expect(entries.length).toBeLessThanOrEqual(12);
			for (const { name, words } of entries) {
				expect(name.length).toBeLessThanOrEqual(24);
				expect(words.length).toBeGreaterThan(5);
			}
		}
	});
});
