// The rig of the logic tables: the invented example rig, with the few figures that the tables count
// with put down here, so that a change of the rig file changes no expectation.

import { readFileSync } from "node:fs";
import { type Rig, readRig } from "../../firmware/config/rig.ts";

const file = new URL("../../sim/bench/rigs/teal-willow.rig.yaml", import.meta.url).pathname;
const example = readRig(readFileSync(file, "utf8"), file);

/** A rig that differs in these figures only. */
export function rigWith({
	pump,
	setpoints,
	sensors = example.sensors,
}: {
	pump?: Partial<Rig["pump"]>;
	setpoints?: Partial<Rig["setpoints"]>;
	sensors?: Rig["sensors"];
}): Rig {
	return {
		...example,
		sensors,
		pump: { ...example.pump, ...pump },
		setpoints: { ...example.setpoints, ...setpoints },
	};
}

/** 40 min on, 20 min off, 45 s dry; 100 L/h, 1.7 A, 12 V; 720 min of work; armed 24 h. */
export const rig = rigWith({
	pump: {
		runMinutesMax: 40,
		restMinutes: 20,
		dryRunSecondsMax: 45,
		freeFlowLph: 100,
		runningAmps: 1.7,
		ratedVolts: 12,
	},
	setpoints: {
		dryFlowLph: 12,
		timeLimitMinutes: 720,
		armedHoursMax: 24,
		confirmMinutesMax: 15,
	},
});
