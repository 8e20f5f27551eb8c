// A board that is an io plugin of johnny-five, such as the pins of the small computer itself. What
// the pin map needs and the plugin cannot do is found before anything is driven. A plugin runs in
// this very process: what blocks in it holds up the tick, and the dead-man opens.

import { InputError, messageOf, type Problem } from "../config/input-error.ts";
import type { PinMap } from "../config/pins.ts";
import { BEAT, FirmataBoard, indexOf } from "./firmata.ts";
import { loadFive } from "./johnny-five.ts";
import { createDrives } from "./opening.ts";
import { READY_MS_MAX } from "./patience.ts";
import { type Plugin, PluginIo } from "./plugin-io.ts";

export interface PluginParts {
	/** Makes the plugin's instance; may throw. */
	readonly make: () => unknown;
	/** How it was named, for errors. */
	readonly name: string;
	readonly pins: PinMap;
	/** Monotonic milliseconds. */
	readonly clock: () => number;
	/** Input channels that the rig lacks. */
	readonly notFitted?: readonly string[];
}

/** @throws InputError where it is no such plugin, is not ready, or cannot do what it must */
export async function openPluginBoard(parts: PluginParts): Promise<FirmataBoard> {
	const { make, name, pins, clock } = parts;
	const file = `plugin ${name}`;
	const refuse = (problems: ReadonlyArray<Omit<Problem, "file">>) => {
		if (problems.length > 0) throw new InputError(problems.map((p) => ({ file, ...p })));
	};
	const notFitted = new Set(parts.notFitted);
	let made: unknown;
	try {
		made = make();
	} catch (error) {
		throw new InputError([{ file, found: messageOf(error), allowed: "a plugin that can be made" }]);
	}
	refuse(missingIn(made));
	const plugin = made as Plugin;
	try {
		await untilReady(plugin);
	} catch (error) {
		throw new InputError([{ file, found: messageOf(error), allowed: "a plugin that is ready" }]);
	}
	refuse(misfitsOf(plugin, pins, notFitted));
	const { five } = loadFive();
	// The parts of johnny-five drive the plugin itself, as it was made for them.
	const board = new five.Board({ io: plugin, repl: false, debug: false, sigint: false });
	await new Promise<void>((resolve) => board.once("ready", () => resolve()));
	const drives = createDrives(board, pins, five);
	return new FirmataBoard(new PluginIo(plugin), pins, drives, clock, notFitted);
}

const METHODS = [
	"on",
	"once",
	"removeListener",
	"pinMode",
	"digitalWrite",
	"digitalRead",
	"analogRead",
	"i2cConfig",
	"i2cReadOnce",
	"i2cWriteReg",
	"queryPinState",
] as const;

/** Why a method has to be there that a plugin may leave out by its own specification. */
const REASONS: Partial<Record<(typeof METHODS)[number], string>> = {
	queryPinState: "outputs are proven by reading them back",
};

function missingIn(made: unknown): Array<Omit<Problem, "file">> {
	const has = made as Record<string, unknown> | null;
	if (typeof has !== "object" || has === null) {
		return [{ found: String(made), allowed: "an io plugin of johnny-five" }];
	}
	return METHODS.filter((name) => typeof has[name] !== "function").map((name) => {
		const reason = REASONS[name];
		const why = reason === undefined ? "" : `: ${reason}`;
		return { key: name, found: "no such method", allowed: `an io plugin that has it${why}` };
	});
}

async function untilReady(plugin: Plugin): Promise<void> {
	if (plugin.isReady) return;
	let giveUp: NodeJS.Timeout | undefined;
	let fail: (error: unknown) => void = () => {};
	try {
		await new Promise<void>((resolve, reject) => {
			const late = () => reject(new Error(`it is not ready within ${READY_MS_MAX} ms`));
			giveUp = setTimeout(late, READY_MS_MAX);
			fail = reject;
			plugin.on("error", fail);
			plugin.once("ready", () => resolve());
		});
	} finally {
		clearTimeout(giveUp);
		plugin.removeListener("error", fail);
	}
}

/** All that the pin map asks for and this plugin does not have, channel by channel. */
function misfitsOf(
	plugin: Plugin,
	pins: PinMap,
	notFitted: ReadonlySet<string>,
): Array<Omit<Problem, "file">> {
	const { OUTPUT, INPUT, PWM } = plugin.MODES;
	const can = (pin: number, mode: number) =>
		plugin.pins[pin]?.supportedModes?.includes(mode) === true;
	const problems: Array<Omit<Problem, "file">> = [];
	const refuse = (key: string, found: string, allowed: string) =>
		problems.push({ key, found, allowed });
	for (const [name, channel] of Object.entries(pins.channels)) {
		if (notFitted.has(name)) continue;
		if (channel.kind === "analog" && plugin.analogPins[indexOf(channel)] === undefined) {
			const few = `${plugin.analogPins.length} analog inputs`;
			refuse(name, few, `one at ${channel.pin}; most small computers have none of their own`);
		}
		if (channel.kind === "analog" || channel.kind === "converter" || channel.kind === "i2c")
			continue;
		const { pin } = channel;
		if (plugin.normalize !== undefined && plugin.normalize(pin) !== pin) {
			const other = `pin ${pin} is counted as ${plugin.normalize(pin)}`;
			refuse(name, other, "a plugin that counts its pins as the pin map does");
			continue;
		}
		const isOutput = channel.kind === "digital-out";
		if (!can(pin, isOutput ? OUTPUT : INPUT)) {
			refuse(name, `pin ${pin} is no ${isOutput ? "output" : "input"}`, "one");
		} else if (name === BEAT && can(pin, PWM)) {
			refuse(name, `pin ${pin} makes edges by itself`, "a pin without PWM");
		}
	}
	const countsMax = 2 ** pins.adc.bits - 1;
	const found = plugin.RESOLUTION?.ADC;
	if (typeof found === "number" && plugin.analogPins.length > 0 && found !== countsMax) {
		refuse("RESOLUTION.ADC", String(found), `${countsMax}, as the pin map reckons`);
	}
	return problems;
}
