// A pull notes what this computer's clock shows beside the controller's: only for a boot that the
// log has a record of, since another one may get the number of a boot that left none.

import { afterEach, expect, it } from "vitest";
import { linked, logOf, STORE_ID, sampleTexts } from "./link-rig.ts";
import { pulledRig } from "./pulled-rig.ts";

const closers: Array<() => void> = [];
afterEach(() => {
	for (const close of closers.splice(0).reverse()) close();
});

/** Pulls twice from a controller in its first boot, whose log has records of another one or not. */
async function sightedBoots(bootOfRecords: number): Promise<number[][]> {
	const { archive, pullAll, close } = await pulledRig(linked(logOf(sampleTexts(5, bootOfRecords))));
	closers.push(close);
	const boots: number[][] = [];
	for (let n = 0; n < 2; n += 1) {
		expect((await pullAll()).lastSeq).toBe(5);
		boots.push(archive.sightings(STORE_ID).map(({ boot }) => boot));
	}
	return boots;
}

it("is kept of a boot that has a record, at the first pull and at the next", async () => {
	expect(await sightedBoots(1)).toEqual([[1], [1, 1]]);
});

it("is not kept of a boot that has none", async () => {
	expect(await sightedBoots(2)).toEqual([[], []]);
});
