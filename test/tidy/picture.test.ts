// The README's picture is what `npm run docs` draws today: every text and mark, and curves of the
// same extent. Their points are not compared one by one: the last bit of a sine differs between
// versions of Node.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { picture, shippedPicture } from "../../host/report/shipped-picture.ts";
import { root } from "../stories/world.ts";

const POINTS = / points="([^"]*)"/g;

/** Left, right, top and bottom of each curve, units. */
function extents(svg: string): number[][] {
	return [...svg.matchAll(POINTS)].map(([, points = ""]) => {
		const pairs = points.split(" ").map((pair) => pair.split(",").map(Number));
		return [0, 1].flatMap((axis) => {
			const values = pairs.map((pair) => pair[axis] ?? Number.NaN);
			return [Math.min(...values), Math.max(...values)];
		});
	});
}

describe("the README's picture", () => {
	const [kept, drawn] = [readFileSync(join(root, shippedPicture), "utf8"), picture(root)];

	it("is shown there", () => {
		const readme = readFileSync(join(root, "README.md"), "utf8");
		expect(readme).toContain(`](${shippedPicture})`);
	});

	it("is the one that is drawn today: if not, npm run docs", () => {
		const bare = (svg: string) => svg.replaceAll(POINTS, "");
		expect(bare(kept)).toBe(bare(drawn));
		const [was, is] = [extents(kept).flat(), extents(drawn).flat()];
		expect(was.length).toBe(is.length);
		was.forEach((value, i) => {
			expect(Math.abs(value - (is[i] ?? Number.NaN))).toBeLessThan(0.25);
		});
	});
});
