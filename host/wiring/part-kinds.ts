// What each kind of part in the wiring is: its terminals, which of them a current goes through,
// what it feeds, drives and needs. The rules know kinds only by this table. Imports types only.

import type { PinMap } from "../../firmware/config/pins.ts";

export type Pair = readonly [from: string, to: string];

export interface KindRow {
	readonly title: string;
	readonly terminals: readonly string[];
	/** Ways of a current through the part while its contacts are closed. */
	readonly through?: readonly Pair[];
	/** Between these it takes a current of its own; the second is the minus side. */
	readonly load?: Pair;
	/** Its current does not stop at once when it is cut. */
	readonly isInductive?: boolean;
	/** Terminals that a supply comes out of. */
	readonly supplies?: readonly string[];
	/** Terminals that put a level on a wire. */
	readonly drives?: readonly string[];
	/** Keys that a part of this kind has, beside those that each has. */
	readonly needs?: readonly string[];
}

const two = ["a", "b"] as const;
const sensor: KindRow = {
	title: "sensor",
	terminals: ["plus", "signal", "minus"],
	load: ["plus", "minus"],
	drives: ["signal"],
	needs: ["channel", "amps"],
};
const loopTerminals = ["loop-out", "loop-back"] as const;
const twoPoles: KindRow = {
	title: "two-pole switch",
	terminals: ["pole-in", "pole-out", ...loopTerminals],
	through: [["pole-in", "pole-out"]],
	needs: ["channel", "contactAmps"],
};

export const partKinds = {
	battery: { title: "battery", terminals: ["plus", "minus"], supplies: ["plus"] },
	fuse: { title: "fuse", terminals: ["in", "out"], through: [["in", "out"]], needs: ["amps"] },
	isolator: {
		title: "isolator",
		terminals: ["in", "out"],
		through: [["in", "out"]],
		needs: ["contactAmps"],
	},
	suppressor: {
		title: "spike suppressor",
		terminals: ["cathode", "anode"],
		needs: ["standoffVolts", "clampVolts"],
	},
	shunt: {
		title: "shunt",
		terminals: ["in", "sense-in", "sense-out", "out"],
		through: [
			["in", "out"],
			["in", "sense-in"],
			["out", "sense-out"],
		],
		needs: ["milliohm"],
	},
	relay: {
		title: "relay",
		terminals: ["common", "make", "coil-plus", "coil-minus"],
		through: [["common", "make"]],
		load: ["coil-plus", "coil-minus"],
		isInductive: true,
		needs: ["coilAmps", "contactAmps"],
	},
	motor: {
		title: "motor",
		terminals: ["plus", "minus"],
		load: ["plus", "minus"],
		isInductive: true,
		needs: ["runAmps", "stallAmps"],
	},
	diode: { title: "diode", terminals: ["cathode", "anode"], needs: ["amps"] },
	"dead-man": {
		title: "dead-man board",
		terminals: ["12V", "coil", "beat", "0V"],
		load: ["12V", "0V"],
		drives: ["coil"],
		/** `of` is the pull-down that it brings for its `beat`. */
		needs: ["amps", "of"],
	},
	"stop-button": { ...twoPoles, title: "stop button" },
	"seat-switch": { ...twoPoles, title: "seat switch" },
	"pressure-switch": { ...twoPoles, title: "pressure switch" },
	link: { title: "link", terminals: two, through: [two] },
	driver: {
		title: "low-side driver",
		terminals: ["gate", "drain", "source"],
		drives: ["drain"],
		needs: ["amps"],
	},
	lamp: {
		title: "lamp",
		terminals: ["plus", "minus"],
		load: ["plus", "minus"],
		needs: ["amps"],
	},
	horn: {
		title: "horn",
		terminals: ["plus", "minus"],
		load: ["plus", "minus"],
		isInductive: true,
		needs: ["amps"],
	},
	/** Its value is its own (`ohm`) or a channel's (`of`). */
	resistor: { title: "resistor", terminals: two },
	guard: { title: "input guard", terminals: ["pin", "wire", "foot"], needs: ["ohm", "nanofarad"] },
	board: {
		title: "microcontroller board",
		terminals: ["usb", "5V", "0V", "SDA", "SCL"],
		supplies: ["5V"],
		needs: ["amps"],
	},
	converter: {
		title: "I2C converter",
		terminals: ["5V", "0V", "reference", "SDA", "SCL"],
		load: ["5V", "0V"],
		needs: ["amps"],
	},
	monitor: {
		title: "I2C monitor",
		terminals: ["5V", "0V", "SDA", "SCL", "sense-in", "sense-out"],
		load: ["5V", "0V"],
		needs: ["channels", "amps", "voltsMax"],
	},
	button: { title: "button", terminals: two },
	"flow-meter": {
		...sensor,
		title: "flow meter",
		terminals: ["plus", "pulse", "minus"],
		drives: ["pulse"],
	},
	gauge: { ...sensor, title: "pressure transducer" },
	"level-sender": { ...sensor, title: "level sender" },
	probe: { title: "water probe", terminals: ["plus", "minus"], needs: ["channel"] },
	"loop-end": {
		title: "switch with end resistors",
		terminals: ["out", "back"],
		needs: ["channel"],
	},
	thermistor: { title: "thermistor", terminals: two, needs: ["channel"] },
	bond: { title: "bonding point", terminals: ["point"] },
	regulator: {
		title: "12 V to 5 V converter",
		terminals: ["in", "minus", "out", "out-minus"],
		load: ["in", "minus"],
		supplies: ["out"],
		needs: ["amps", "limitAmps"],
	},
	computer: {
		title: "small computer",
		terminals: ["usb", "5V", "0V"],
		load: ["5V", "0V"],
		needs: ["amps"],
	},
} as const satisfies Readonly<Record<string, KindRow>>;

export type Kind = keyof typeof partKinds;
export const kinds = Object.keys(partKinds) as Kind[];
export const rowOf = (kind: Kind): KindRow => partKinds[kind];

/** Channels that come to a board or a converter as terminals of their own name. */
export function channelTerminals(kind: Kind, pins: PinMap): string[] {
	return Object.entries(pins.channels).flatMap(([name, channel]) => {
		if (channel.kind === "i2c") return [];
		const place = channel.kind === "converter" ? "converter" : "board";
		return place === kind ? [name] : [];
	});
}

export const terminalsOf = (kind: Kind, pins: PinMap): string[] => [
	...rowOf(kind).terminals,
	...channelTerminals(kind, pins),
];
