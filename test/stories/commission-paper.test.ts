// What commissioning puts on paper and into files: the sheet for a clipboard, for this rig or for
// none, and the rig file with the meter's factor in the place where it stood.

import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import type { FillList } from "../../firmware/commission/schemas.ts";
import { stepRows, steps } from "../../firmware/commission/step-rows.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { refuseOtherKinds } from "../../host/cli/commission/print.ts";
import { calibratedRig } from "../../host/cli/commission/rig-copy.ts";
import { commissionSheet } from "../../host/report/commission-sheet.ts";
import { htmlPaper } from "../../host/report/html-paper.ts";
import { rigFile } from "./world.ts";

const text = readFileSync(rigFile, "utf8");
const rig = readRig(text, rigFile);

describe("the sheet", () => {
	const headingsOf = (paper: ReturnType<typeof commissionSheet>) =>
		paper.blocks.flatMap((block) => (block.kind === "heading" ? [block.text] : []));

	it("has every step once, in its order, with its words and its caution", () => {
		const paper = commissionSheet(null);
		const html = htmlPaper(paper, "A4");
		const numbered = headingsOf(paper).filter((heading) => /^\d/.test(heading));
		expect(numbered).toHaveLength(steps.length);
		for (const step of steps) {
			expect(numbered.filter((heading) => heading.endsWith(`(${step})`))).toHaveLength(1);
			expect(paper.blocks).toContainEqual({
				kind: "words",
				text: stepRows[step].cautions,
				tone: "mark",
			});
		}
		expect(html).toContain("initials");
	});

	it("leaves out what the rig lacks, and says when its data are invented", () => {
		const names = headingsOf(commissionSheet(rig)).join("\n");
		expect(names).not.toContain("(bowl-zero)");
		expect(names).toContain("(vacuum-zero)");
		const bare = headingsOf(commissionSheet({ ...rig, sensors: [] })).join("\n");
		expect(bare).not.toContain("(vacuum-zero)");
		expect(JSON.stringify(commissionSheet(rig))).toContain("Invented demonstration data");
	});

	it("goes into a PDF or an HTML file alone", () => {
		expect(() => refuseOtherKinds("sheet.txt")).toThrow(/\.pdf or \.html/);
		for (const file of ["sheet.pdf", "SHEET.HTML"]) refuseOtherKinds(file);
	});

	it("ends each of its sentences", () => {
		for (const block of commissionSheet(null).blocks) {
			if (block.kind === "words") expect(block.text).toMatch(/[.!?]$/);
		}
	});

	it("lets no word run into the line beside it", () => {
		for (const block of commissionSheet(null).blocks) {
			if (block.kind !== "picture") continue;
			for (const { words, x } of block.texts) {
				// Helvetica's letters are half as wide as they are high, taken together (from memory).
				const end = x + 0.5 * 8 * words.length;
				expect(end, words).toBeLessThan(x < 100 ? 300 : block.width + 1);
			}
		}
	});
});

describe("a rig file with the meter's factor", () => {
	const fills: FillList = {
		fills: [],
		perLitre: 423.6789,
		uncertaintyPct: 0.85,
		pumpLph: 90.041,
		pumpPct: 0.04,
	};

	it("has it in its place, and everything else as it was", () => {
		const copy = calibratedRig(text, fills, "copy");
		const { meter, pump } = readRig(copy, "copy");
		expect(meter).toMatchObject({ pulsesPerLitre: 423.68, calibrationPct: 0.85 });
		expect(pump).toMatchObject({ measuredLph: 90.041, measuredPct: 0.1 });
		const before = text.split("\n");
		const after = copy.split("\n");
		expect(before.filter((line) => !after.includes(line))).toEqual([
			"meter: { kind: positive-displacement, pulsesPerLitre: 420 }",
		]);
		expect(after.filter((line) => !before.includes(line))).toEqual([
			"  measuredLph: 90.041",
			"  measuredPct: 0.1",
			"meter: { kind: positive-displacement, pulsesPerLitre: 423.68, calibrationPct: 0.85 }",
		]);
		const { meter: _, pump: __, ...rest } = readRig(copy, "copy");
		const { meter: ___, pump: ____, ...same } = rig;
		expect(rest).toEqual(same);
	});

	it("has it where it stood before, too, when it is put in once more", () => {
		const copy = calibratedRig(text, fills, "copy");
		const again = calibratedRig(copy, { ...fills, perLitre: 421, pumpLph: 91 }, "copy");
		expect(again).toBe(copy.replace("423.68", "421").replace("90.041", "91"));
	});

	it("is refused before there is a mean, and where there is no such part", () => {
		const none = { ...fills, perLitre: null, uncertaintyPct: null };
		expect(() => calibratedRig(text, none, "copy")).toThrow(/three fills of one size/);
		expect(() => calibratedRig("rig: x\n", fills, "copy")).toThrow(/meter/);
	});
});
