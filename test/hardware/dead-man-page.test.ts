// The dead-man's page, picture and parts agree: the table is the parts', the tolerances over all
// hold what goes into them, the netlists and the parts know the same names, the picture is today's.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { withSection } from "../../host/report/tables.ts";
import { partsTable } from "./dead-man-page.ts";
import { deadManParts, folder, nominal } from "./dead-man-parts.ts";
import { curveOf, nominalCourse } from "./dead-man-plot.ts";

const read = (file: string) => readFileSync(join(folder, file), "utf8");
const page = read("README.md");
const netlists = ["dead-man.cir", "run-timer.cir"].map(read);
/** From 27 °C to the further end of -10 to 60 °C. */
const SPAN_K = 37;

describe("the parts", () => {
	it.each(deadManParts.parts)("$id: tolerance over all holds bought, heat and age", (part) => {
		const { bought, ppmPerK, ages, overAll } = part.tolerance;
		expect(overAll).toBeGreaterThanOrEqual(bought + (ppmPerK * SPAN_K) / 1e6 + ages);
	});

	it("are the names that the netlists ask for, and no more", () => {
		const asked = netlists.flatMap((text) =>
			[...text.matchAll(/\{([^}]+)\}/g)].flatMap(([, sum = ""]) => sum.match(/[a-z]\w*/g) ?? []),
		);
		const own = new Set(["rsum"]);
		const wanted = new Set(asked.filter((name) => !own.has(name)));
		expect([...wanted].sort()).toEqual(Object.keys(nominal).sort());
	});

	it("a netlist has no value of a part of its own", () => {
		const literal = netlists.flatMap((text) =>
			text.split("\n").filter((line) => /^[RC]\w+ \S+ \S+ (?!\{)/.test(line)),
		);
		// A load that stands for the integrated circuits, and what the models themselves need.
		expect(literal.map((line) => line.split(" ")[0])).toEqual([
			"Rload",
			"Cwait",
			"Rwait",
			"Cout",
			"Cin",
			"Rfirst",
			"Cfirst",
			"Rsecond",
			"Csecond",
		]);
	});
});

describe("the page", () => {
	it("carries the parts as they are: if not, npm run docs", () => {
		expect(withSection(page, "parts", partsTable())).toBe(page);
	});

	it("shows the picture, and its curve is what the circuit does today", () => {
		expect(page).toContain("](course.svg)");
		const kept = [...read("course.svg").matchAll(/<polyline points="([^"]*)"/g)].map(
			([, points = ""]) => points.split(" ").map((pair) => pair.split(",").map(Number)),
		);
		const drawn = curveOf(nominalCourse());
		const curve = kept.find((points) => points.length === drawn.length);
		expect(curve).toBeDefined();
		const off = drawn.map(([, y], i) => Math.abs(y - (curve?.[i]?.[1] ?? Number.NaN)));
		expect(Math.max(...off)).toBeLessThan(3);
	});
});
