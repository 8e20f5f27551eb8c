// hardware/COMMISSIONING.md is as the catalogue of the steps makes it, and each step that orders a
// polish says how much, as the command reads it from there.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { partRows } from "../../firmware/commission/parts.ts";
import { stepRows, steps } from "../../firmware/commission/step-rows.ts";
import { commissionPage } from "../../host/report/commission-page.ts";
import { groupOf, linesOf, litresOf } from "../../host/report/commission-steps.ts";
import { root } from "../stories/world.ts";

const page = readFileSync(join(root, "hardware/COMMISSIONING.md"), "utf8");

describe("hardware/COMMISSIONING.md", () => {
	it("is as `npm run docs` writes it", () => {
		expect(page).toBe(commissionPage());
	});

	it.each(steps)("has %s with its words, caution, values and parts", (step) => {
		const row = stepRows[step];
		const from = page.indexOf(`### ${row.title}\n\n\`${step}\`: `);
		expect(from).toBeGreaterThan(0);
		const text = page.slice(from, page.indexOf("\n#", from + 4));
		for (const words of [row.how, `**${row.cautions}**`, ...row.parts.map((part) => `\`${part}\``)])
			expect(text).toContain(words);
		for (const { words, allowed } of linesOf(row))
			expect(text).toContain(`| ${words} | ${allowed} |`);
	});

	it("names each part with its steps", () => {
		for (const [part, { words }] of Object.entries(partRows)) {
			expect(page).toContain(`| \`${part}\` | ${words} |`);
		}
	});
});

describe("the litres of an order", () => {
	it.each(steps.filter((step) => groupOf(step) !== "at rest"))(
		"stand in the words of %s",
		(step) => {
			const row = stepRows[step];
			// The can's size is the person's.
			if (row.goes.kind === "fills") expect(litresOf(row)).toBeNull();
			else expect(litresOf(row)).toBeGreaterThanOrEqual(1);
		},
	);
});
