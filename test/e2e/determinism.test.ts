// Same scenario, seed and version, same bytes: the accounts and JSON of the whole library (but for
// the wall's clock), on both cores at once, in three orders, in two processes. Canaries carry
// something from run to run and are found by the same comparison.

import { fork } from "node:child_process";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { describe, expect, it } from "vitest";
import { createController } from "../../firmware/controller.ts";
import { playAll } from "../../host/cli/library-play.ts";
import type { Play } from "../../host/cli/play.ts";
import { rigWith } from "../../host/cli/set-option.ts";
import type { RigModel } from "../../sim/rig.ts";
import { pins, root } from "../stories/world.ts";
import { differing, library, playHere, type Texts, textsOf } from "./library-texts.ts";

const SHUFFLE_SEED = 20_261_126;
const built = pathToFileURL(join(root, ".build/host/cli/"));

const onThreads = async (plays: readonly Play[]): Promise<Texts> =>
	textsOf(await playAll(plays, { board: "model", pins, built, hands: 2 }));

function inAnotherProcess(): Promise<Texts> {
	return new Promise((resolve, reject) => {
		const child = fork(join(root, ".build/test/e2e/library-child.js"));
		child.once("message", (texts: Texts) => resolve(texts));
		child.once("exit", (code) => reject(new Error(`the other process ended with ${code}`)));
	});
}

/** By Fisher and Yates (from memory). */
function shuffled<T>(rows: readonly T[], seed: number): T[] {
	const random = xoroshiro128plus(seed);
	const out = [...rows];
	for (let i = out.length - 1; i > 0; i -= 1) {
		const j = uniformInt(random, 0, i);
		const row = out[i] as T;
		out[i] = out[j] as T;
		out[j] = row;
	}
	return out;
}

describe("the library", () => {
	it("is told in the same bytes on two threads, in any order, and in another process", async () => {
		const began = Date.now();
		const order = shuffled(library, SHUFFLE_SEED);
		expect(order).not.toEqual(library);
		const forward = await onThreads(library);
		// Three at once on two cores: whoever waits for a core is told the same.
		const [other, away] = await Promise.all([onThreads(order), inAnotherProcess()]);
		console.log(`library played three times in ${((Date.now() - began) / 1000).toFixed(1)} s`);
		expect(Object.keys(forward)).toEqual(library.map(({ name }) => name));
		expect(forward["water-under-the-tube"]).toContain("TRIP water-in-bowl");
		expect(forward["water-under-the-tube"]).toContain('"outcome":"tripped: water-in-bowl"');
		expect(differing(forward, other)).toEqual([]);
		expect(differing(forward, away)).toEqual([]);
	}, 900_000);
});

describe("what is carried from run to run", () => {
	const names = ["water-under-the-tube", "stop-button", "water-not-drained", "attended-cupful"];
	const some = library.filter(({ name }) => names.includes(name));
	const backwards = [...some].reverse();
	let runs = 0;

	it("is not there", () => {
		expect(some).toHaveLength(names.length);
		expect(differing(playHere(some), playHere(backwards))).toEqual([]);
	});

	it("is found in a controller that counts its runs", () => {
		const counting = ({ rig }: Play) => {
			runs += 1;
			const later = rigWith(rig, [{ setpoint: "waterDelayMs", value: runs % 2 === 0 ? 400 : 300 }]);
			return { controller: createController(later, pins) };
		};
		const found = differing(playHere(some, counting), playHere(backwards, counting));
		expect(found).toEqual(["water-not-drained", "water-under-the-tube"]);
	});

	it("is found in a rig whose pump wears from run to run", () => {
		const wearing = () => {
			runs += 1;
			const left = 100 - 0.01 * runs;
			return { afterStep: (model: RigModel) => model.breaks("pump-worn", left) };
		};
		const found = differing(playHere(some, wearing), playHere(backwards, wearing));
		expect(found).toEqual(some.map(({ name }) => name));
	});
});
