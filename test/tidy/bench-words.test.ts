// The bench page has a word and a place for everything that the model and the hazard analysis have,
// and for nothing else.

import { expect, it } from "vitest";
import { benchWorld } from "../../host/report/bench-world.ts";
import { faultGroups } from "../../host/web/bench/fault-groups.ts";
import { bench } from "../../host/web/words/en-bench.ts";
import { faultRows, faults } from "../../sim/faults.ts";
import { faultKinds, isSensorFault, sensorChannels } from "../../sim/sensor-faults.ts";
import { root } from "../stories/world.ts";

const world = benchWorld(root);
const sorted = (names: readonly string[]) => [...names].sort();
const ofWorld = faults.filter((fault) => !isSensorFault(fault));

it("each fault of the world stands in one group, and has its name", () => {
	expect(sorted(Object.values(faultGroups).flat())).toEqual(sorted(ofWorld));
	expect(sorted(Object.keys(bench.faults.names))).toEqual(sorted(ofWorld));
});

it("each fault with a size has its unit", () => {
	const sized = ofWorld.filter((fault) => faultRows[fault].size !== undefined);
	expect(Object.keys(bench.faults.units)).toEqual(expect.arrayContaining(sized));
});

it("each channel and what may be wrong with it has its name", () => {
	expect(sorted(Object.keys(bench.faults.channels))).toEqual(sorted(sensorChannels));
	expect(sorted(Object.keys(bench.faults.kinds))).toEqual(sorted(faultKinds));
});

it("each hazard of the analysis has its name, and no other", () => {
	const analysed = world.hazards.map(({ hazard }) => hazard);
	expect(sorted(Object.keys(bench.hazards.names))).toEqual(sorted(analysed));
});

it("each beginning has its title", () => {
	expect(sorted(Object.keys(bench.starts))).toEqual(sorted(world.starts.map(({ name }) => name)));
});
