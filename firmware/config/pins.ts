// The pin map's schema. The map itself (hardware/pins.yaml) reaches firmware, bench and docs as
// data through here. Circuit values stand with the channel that they belong to.
// Pins 0 and 1 carry the serial line and 13 blinks at boot: none of the three is allowed.

import { z } from "zod";
import { readDocument } from "./document.ts";
import { InputError } from "./input-error.ts";

const usablePin = z.int().min(2).max(12);
const does = z.string().min(1).describe("what it is for, in words");

/** A two-wire loop read as a voltage: pull-up to the reference, contact or probe, end resistor. */
const supervisedLoop = z.strictObject({
	pullUpOhm: z.number().positive(),
	seriesOhm: z.number().positive().describe("at the far end, in series with contact or probe"),
	endOfLineOhm: z.number().positive().describe("at the far end, across contact or probe"),
});

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
		loop: supervisedLoop.optional(),
		zeroShare: z.number().min(0).max(1).optional().describe("share of the reference at 0 kPa"),
		kpaPerShare: z.number().optional().describe("kPa for one whole reference"),
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

export const pinMapSchema = z.strictObject({
	board: z.string().min(1),
	adc: z.strictObject({
		bits: z.int().min(8).max(24),
		referenceVolts: z.number().positive(),
		pins: z.int().positive().describe("analog pins of the board, I2C's two among them"),
		pinsForI2c: z.int().min(0),
	}),
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
		const pin = channel.kind === "i2c" ? `${channel.address}/${channel.register}` : channel.pin;
		const other = owner.get(String(pin));
		if (other !== undefined) {
			problems.push(problem(["channels", name], `a pin that ${other} does not use`));
		}
		owner.set(String(pin), name);
		if (name === "dead-man-beat" && "pin" in channel && map.pwmPins.includes(Number(channel.pin))) {
			problems.push(problem(["channels", name, "pin"], "a pin that has no PWM"));
		}
	}
	if (problems.length > 0) throw new InputError(problems);
	return map;
}

/** Input channels of the map, by name. */
export function inputsOf(map: PinMap): Array<readonly [string, Channel]> {
	return Object.entries(map.channels).filter(([, { kind }]) => kind !== "digital-out");
}

/** Names of all that a board reports of itself: `board`, and the inputs of the map. */
export function reportedChannels(map: PinMap): string[] {
	return ["board", ...inputsOf(map).map(([name]) => name)];
}
