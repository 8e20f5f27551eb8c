// Every row of the reference file against the functions of the project, through the one table of
// adapters. Values, tolerances and sources are the rows' own; see answer.ts for how they compare.

import { describe, expect, it } from "vitest";
import { adapters } from "./adapters.ts";
import { Answerer, groupsOf } from "./answer.ts";
import { rows } from "./rows.ts";

const answerer = new Answerer(adapters);
const answered = rows.map((row) => ({ row, ...answerer.answer(row) }));

/** Groups that may leave no row without an answer. */
const WHOLE = [1, 2, 3, 4, 6, 7, 8, 9, 10, 12, 14];

describe("reference rows", () => {
	it.each(answered.filter(({ checks }) => checks.length > 0))(
		"$row.id: $row.topic",
		({ row, checks }) => {
			const failed = checks.filter(({ held, fromMemory }) => !held && !fromMemory);
			expect(failed, row.source).toEqual([]);
		},
	);

	it(`every row of groups ${WHOLE.join(", ")} is answered`, () => {
		const silent = answered
			.filter(({ checks }) => checks.length === 0)
			.filter(({ row }) => groupsOf(row.topic).some((group) => WHOLE.includes(group)))
			.map(({ row, gaps }) => `${row.id}: ${gaps.map(({ field, why }) => `${field} ${why}`)}`);
		expect(silent).toEqual([]);
	});

	it("a wrong value is seen in every row that has a number", () => {
		const numeric = answered.filter(({ checks }) =>
			checks.some(({ expected }) => typeof expected === "number" && expected !== 0),
		);
		const blind = numeric.filter(({ row }) => {
			const { checks } = answerer.answer({ ...row, expected: doubled(row.expected) });
			return checks.every(({ held }) => held);
		});
		expect(blind.map(({ row }) => row.id)).toEqual([]);
	});
});

/** The same values, each number twice itself. */
function doubled<T>(value: T): T;
function doubled(value: unknown): unknown {
	if (typeof value === "number") return 2 * value;
	if (Array.isArray(value)) return value.map((part) => doubled(part));
	if (typeof value !== "object" || value === null) return value;
	return Object.fromEntries(Object.entries(value).map(([key, part]) => [key, doubled(part)]));
}
