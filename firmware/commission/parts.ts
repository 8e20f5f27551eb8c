// What of a rig may be changed, so that its steps of commissioning are due again. A part's marks
// are the places in rig file and pin map that name it: when one of them reads otherwise, the part
// counts as changed without anybody saying so. Imports nothing.

interface PartRow {
	/** As a person aboard calls it. */
	readonly words: string;
	/** Keys of the rig file, dotted. What calibration itself changes is not among them. */
	readonly rig: readonly string[];
	/** Channels of the pin map. */
	readonly channels: readonly string[];
}

const rows = {
	box: {
		words: "the control box: board, wiring, lamps, horn, button",
		rig: ["rig"],
		channels: ["lamp-pump", "lamp-trip", "horn", "acknowledge-button"],
	},
	contacts: {
		words: "contacts K1 and K2, the dead-man, the stop button",
		rig: [],
		channels: ["pump-demand", "dead-man-beat", "stop-loop"],
	},
	monitor: {
		words: "the monitor of volts and amps, cable, fuse or battery",
		rig: ["supply"],
		channels: ["supply-volts", "motor-current"],
	},
	probe: {
		words: "the water probe or the bowl",
		rig: ["bowl", "setpoints.waterProbeKohm"],
		channels: ["probe-plus", "probe-minus", "bowl-probe"],
	},
	tray: { words: "the sensor in the tray", rig: [], channels: ["tray"] },
	"return-fitting": {
		words: "the return, its fitting or its switch",
		rig: ["returnHose"],
		channels: ["return-seat"],
	},
	"tube-head": {
		words: "the tube, its head or its switch",
		rig: ["tube"],
		channels: ["tube-seat"],
	},
	suction: { words: "the suction hose or a joint in it", rig: ["hose"], channels: [] },
	gauge: { words: "the vacuum transducer", rig: [], channels: ["vacuum"] },
	"bowl-gauge": {
		words: "the transducer between bowl and element",
		rig: [],
		channels: ["bowl-tap"],
	},
	"pressure-switch": {
		words: "the pressure switch or the relief",
		rig: ["pump.pressureSwitchKpa", "pump.bypassKpa"],
		channels: ["pressure-switch"],
	},
	senders: { words: "a level sender", rig: [], channels: ["level-from", "level-to"] },
	thermistors: {
		words: "a temperature sensor",
		rig: [],
		channels: ["fuel-temperature", "case-temperature"],
	},
	pump: {
		words: "the pump or its motor",
		rig: ["pump.kind", "pump.freeFlowLph", "pump.runningAmps", "pump.stallAmps"],
		channels: [],
	},
	meter: { words: "the flow meter", rig: ["meter.kind"], channels: ["flow-pulse"] },
	element: { words: "the element", rig: ["element.ratingMicron"], channels: [] },
} as const satisfies Record<string, PartRow>;

export type Part = keyof typeof rows;
export const parts = Object.keys(rows) as Part[];
export const partRows: Readonly<Record<Part, PartRow>> = rows;
