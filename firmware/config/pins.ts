// The pin map's schema. The map itself (hardware/pins.yaml) reaches firmware, bench and docs as
// data through here. Circuit values stand with the channel that they belong to.
// Pins 0 and 1 carry the serial line and 13 blinks at boot: none of the three is allowed.

import * as z from "zod";
import { readDocument } from "./document.ts";
import { InputError } from "./input-error.ts";

const usablePin = z.int().min(2).max(12);
const does = z.string().min(1).describe("what it is for, in words");

/** A two-wire loop read as a voltage: pull-up to the reference, contact, end resistor. */
const supervisedLoop = z.strictObject({
	pullUpOhm: z.number().positive(),
	seriesOhm: z.number().positive().describe("at the far end, in series with the contact"),
	endOfLineOhm: z.number().positive().describe("at the far end, across the contact"),
});

/** Two pins at the far end that are driven against each other, in turn one way and the other. */
const bridge = z.strictObject({
	driveOhm: z.number().positive().describe("from probe-plus to the converter's input"),
	seriesOhm: z
		.number()
		.positive()
		.describe("in series with the pins, at the far end and in the box"),
	boxOhm: z.number().positive().describe("how much of that is in the box, at probe-minus"),
	endOfLineOhm: z.number().positive().describe("at the far end, across the pins"),
});

/** A thermistor to ground under a pull-up to the reference. */
const thermistor = z.strictObject({
	pullUpOhm: z.number().positive(),
	ohmAt25C: z.number().positive(),
	betaK: z.number().positive(),
});

/** What an analog voltage means: one of these at most. */
const meaning = {
	loop: supervisedLoop.optional(),
	bridge: bridge.optional(),
	thermistor: thermistor.optional(),
	gauge: z
		.strictObject({
			zeroShare: z.number().min(0).max(1).describe("share of the reference at 0 kPa"),
			kpaPerShare: z.number().describe("kPa for one whole reference"),
		})
		.optional(),
	level: z
		.strictObject({
			emptyShare: z.number().min(0).max(1).describe("share of the reference at the floor"),
			fullShare: z.number().min(0).max(1).describe("share of the reference at the top"),
		})
		.optional(),
};

const channelSchema = z.discriminatedUnion("kind", [
	z.strictObject({
		kind: z.literal("digital-out"),
		pin: usablePin,
		does,
		pullDownOhm: z.number().positive().describe("holds it off while the pin floats"),
	}),
	z.strictObject({
		kind: z.literal("digital-in"),
		pin: usablePin,
		does,
		seriesOhm: z.number().min(1000).describe("limits current while boot drives the pin as output"),
	}),
	z.strictObject({
		kind: z.literal("pulse"),
		pin: usablePin,
		does,
		seriesOhm: z.number().min(1000),
	}),
	z.strictObject({
		kind: z.literal("analog"),
		pin: z.enum(["A0", "A1", "A2", "A3"]),
		does,
		...meaning,
	}),
	z.strictObject({
		kind: z.literal("converter"),
		input: z.int().min(0).max(7).describe("of the I2C converter"),
		does,
		...meaning,
	}),
	z.strictObject({
		kind: z.literal("i2c"),
		address: z.int().min(8).max(119),
		register: z.int().min(0).max(255),
		does,
		unit: z.enum(["V", "A"]),
		perCount: z.number().positive(),
		shiftRight: z.int().min(0).max(15).default(0).describe("low bits of the word that are flags"),
		signed: z.boolean().default(false).describe("the word is two's complement"),
	}),
]);

export type Channel = Readonly<z.infer<typeof channelSchema>>;
export type SupervisedLoop = Readonly<z.infer<typeof supervisedLoop>>;
export type Bridge = Readonly<z.infer<typeof bridge>>;
export type Thermistor = Readonly<z.infer<typeof thermistor>>;
/** A channel that is a voltage, whichever converter reads it. */
export type VoltageChannel = Extract<Channel, { kind: "analog" | "converter" }>;

export const pinMapSchema = z.strictObject({
	board: z.string().min(1),
	adc: z.strictObject({
		bits: z.int().min(8).max(24),
		referenceVolts: z.number().positive(),
		pins: z.int().positive().describe("analog pins of the board, I2C's two among them"),
		pinsForI2c: z.int().min(0),
	}),
	converter: z
		.strictObject({
			address: z.int().min(8).max(119),
			bits: z.int().min(8).max(16),
			shiftRight: z.int().min(0).max(8).describe("low bits of the word that are not used"),
			firstRegister: z.int().min(0).max(255).describe("of input 0; the next ones follow"),
			setUp: z
				.array(z.tuple([z.int().min(0).max(255), z.int().min(0).max(255)]))
				.describe("register and value, written in this order when the board is ready"),
		})
		.describe("I2C converter, one register an input, ratiometric to the board's reference"),
	pwmPins: z.array(z.int()).describe("pins that can make edges without the controller"),
	channels: z.record(z.string().regex(/^[a-z][a-z0-9-]*$/), channelSchema),
});

export type PinMap = Readonly<z.infer<typeof pinMapSchema>>;

/**
 * Reads and checks a pin map's text.
 * @throws InputError also where a pin is used twice or the beat's pin could beat by itself
 */
export function readPinMap(text: string, file: string): PinMap {
	const { value: map, problem } = readDocument(text, file, pinMapSchema);
	const owner = new Map<string, string>();
	const problems = [];
	for (const [name, channel] of Object.entries(map.channels)) {
		const pin = placeOf(channel, map);
		const other = owner.get(pin);
		if (other !== undefined) {
			problems.push(problem(["channels", name], `a pin that ${other} does not use`));
		}
		owner.set(pin, name);
		if (name === "dead-man-beat" && "pin" in channel && map.pwmPins.includes(Number(channel.pin))) {
			problems.push(problem(["channels", name, "pin"], "a pin that has no PWM"));
		}
	}
	if (problems.length > 0) throw new InputError(problems);
	return map;
}

/** Where a channel is read or driven, in words; no two may have the same. */
function placeOf(channel: Channel, { converter }: PinMap): string {
	if (channel.kind === "i2c") return `${channel.address}/${channel.register}`;
	if (channel.kind === "converter") {
		return `${converter.address}/${converter.firstRegister + channel.input}`;
	}
	return String(channel.pin);
}

/** Bits of the converter that reads a voltage channel. */
export function bitsOf(channel: VoltageChannel, map: PinMap): number {
	return channel.kind === "analog" ? map.adc.bits : map.converter.bits;
}

/** Input channels of the map, by name. */
export function inputsOf(map: PinMap): Array<readonly [string, Channel]> {
	return Object.entries(map.channels).filter(([, { kind }]) => kind !== "digital-out");
}

/** Names of all that a board reports: of itself, and the inputs of the map. */
export function reportedChannels(map: PinMap): string[] {
	return ["board", "beat-mode", ...inputsOf(map).map(([name]) => name)];
}
