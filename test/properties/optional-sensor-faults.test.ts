// The other half of the table of sensor, fault and state: the cells of the sensors that a rig may
// lack. See sensor-faults.test.ts.

import { describe, expect, it } from "vitest";
import { cellsOf } from "../../host/report/sensor-faults.ts";
import { problemsOf } from "./sensor-fault-judge.ts";
import { isOptional, titled } from "./sensor-fault-rows.ts";

describe("each cell is as its row says", () => {
	it.each(titled(({ channels }) => channels.some(isOptional)))("%s", (_, row) => {
		expect(cellsOf(row).flatMap(problemsOf)).toEqual([]);
	});
});
