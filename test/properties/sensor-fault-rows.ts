// The table of sensor, fault and state as it stands in hardware/sensor-faults.yaml, and its rows
// with a title each, for the tests that play them.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { optionalSensors } from "../../firmware/config/optional-sensors.ts";
import { readSensorFaults, type SensorFaultRow } from "../../host/report/sensor-faults.ts";
import { root } from "../stories/world.ts";

export const SOURCE = "hardware/sensor-faults.yaml";
export const text = readFileSync(join(root, SOURCE), "utf8");
export const table = readSensorFaults(text, SOURCE);

/** A sensor that a rig may lack. */
export const isOptional = (channel: string): boolean =>
	optionalSensors.some((name) => name === channel);

/** "tray stuck, pumping: undetected" beside its row, for those that are wanted. */
export function titled(isWanted: (row: SensorFaultRow) => boolean) {
	return table.rows.filter(isWanted).map((row) => {
		const { channels, faults, states, answer } = row;
		const names = [channels, faults].map((list) => list.join(", ")).join(" ");
		return [`${names}, ${states.join(", ")}: ${answer}`, row] as const;
	});
}
