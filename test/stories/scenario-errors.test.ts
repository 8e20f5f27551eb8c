// Each mistake that a scenario file can have -> where it stands, what was found, what is allowed.
// The table of them is scenario-mistakes.ts.

import { describe, expect, it } from "vitest";
import { InputError } from "../../firmware/config/input-error.ts";
import { readScenario } from "../../sim/bench/scenario-reader.ts";
import { GOOD, mistakes } from "./scenario-mistakes.ts";
import { exampleRig } from "./world.ts";

const rig = exampleRig();

const read = (text: string) => readScenario(text, "own.bench.yaml", () => rig);

function complaintsOf(text: string): string[] {
	try {
		read(text);
		return [];
	} catch (error) {
		if (!(error instanceof InputError)) throw error;
		return error.message.split("\n");
	}
}

describe("a mistake in a scenario is told with its place", () => {
	it.each(mistakes)("$what", ({ was, is, at, says }) => {
		const text = GOOD.replace(was, is);
		expect(text).not.toBe(GOOD);
		const before = text.slice(0, text.indexOf(at)).split("\n");
		expect(text).toContain(at);
		const place = `own.bench.yaml:${before.length}:${(before.at(-1)?.length ?? 0) + 1}  `;
		const [first = "none"] = complaintsOf(text).filter((line) => line.startsWith(place));
		let from = place.length;
		for (const piece of says) {
			const found = first.indexOf(piece, from);
			expect(found, `"${piece}" at ${place}in:\n${complaintsOf(text).join("\n")}`).not.toBe(-1);
			from = found;
		}
	});

	it("all at once, and none where all is well", () => {
		const text = GOOD.replace("airC: 12", "airC: 120").replace("seed: 4", "seed: many");
		expect(complaintsOf(text)).toHaveLength(2);
		expect(complaintsOf(GOOD)).toEqual([]);
	});
});
