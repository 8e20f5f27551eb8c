// The faults of the model in groups, as the page shows them. A test holds that none is missing.
// Faults of sensors are made of their channels.

import type { Fault } from "../../../sim/faults.ts";
import type { SensorFault } from "../../../sim/sensor-faults.ts";

export type WorldFault = Exclude<Fault, SensorFault>;

export const faultGroups = {
	suction: [
		"tube-lifted",
		"tube-unseated",
		"tube-blocked",
		"air-leak",
		"water-slug",
		"vent-shut",
		"element-plugs",
		"cold-snap",
		"ice-in-bowl",
	],
	return: ["return-out", "return-in-wrong-tank", "return-shut", "hose-off", "siphon"],
	motor: ["pump-worn", "pump-seized", "motor-wire-off", "motor-hot", "k1-welded", "k2-welded"],
	supply: ["battery-weak", "charger-overvoltage"],
	box: ["probe-fouled", "stop-button-struck", "converter-silent"],
	board: [
		"board-stops-answering",
		"board-resets",
		"board-browns-out",
		"usb-unplugged",
		"serial-bytes-lost",
		"beat-forged",
	],
	computer: ["controller-hangs", "controller-restarts", "log-fails", "log-slow"],
} as const satisfies Record<string, readonly WorldFault[]>;

export type FaultGroup = keyof typeof faultGroups;
