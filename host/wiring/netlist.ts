// The wiring as data: schema and reader of hardware/wiring.yaml, and who is connected with whom.
// What a kind of part is stands in part-kinds.ts; whether the wiring is a good one in rules.ts.
// Pure: text and pin map in, netlist or InputError out.

import * as z from "zod";
import { readDocument } from "../../firmware/config/document.ts";
import { InputError, type Problem } from "../../firmware/config/input-error.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import { type Kind, kinds, rowOf, terminalsOf } from "./part-kinds.ts";

const id = z.string().regex(/^[a-z][a-z0-9]*(-[a-z0-9]+)*$/, "small words joined by dashes");
const words = z.string().min(3).max(200);
const amps = z.number().positive().max(100);
const ohms = z.number().positive().max(1e7);

const partSchema = z.strictObject({
	// A and D are the board's own names of pins.
	ref: z.string().regex(/^[BCE-Z]\d{1,2}$/, "a letter but A and D, and a number"),
	kind: z.enum(kinds),
	zone: id,
	does: words,
	amps: amps.optional().describe("what it takes, or what a fuse, diode or driver is rated for, A"),
	runAmps: amps.optional(),
	stallAmps: amps.optional(),
	coilAmps: amps.optional(),
	contactAmps: amps.optional().describe("direct current that its contacts make and break, A"),
	limitAmps: amps.optional().describe("current to which it limits itself, A"),
	milliohm: z.number().positive().optional(),
	ohm: ohms.optional(),
	nanofarad: z.number().positive().optional(),
	standoffVolts: z.number().positive().optional(),
	clampVolts: z.number().positive().optional(),
	voltsMax: z.number().positive().optional().describe("most that it stands, V"),
	channel: id.optional().describe("of the pin map"),
	channels: z.array(id).min(1).optional(),
	of: z
		.strictObject({ channel: id, value: z.string().regex(/^[A-Za-z.]+Ohm$/) })
		.optional()
		.describe("a resistor whose value the pin map has"),
});
/** Keys of a part that its kind decides. */
const EACH_HAS = ["ref", "kind", "zone", "does"];

const endText = z.string().regex(/^[a-z0-9-]+\.[A-Za-z0-9-]+$/, "part.terminal");

const netSchema = z.strictObject({
	net: z.int().min(1).max(999),
	name: words,
	function: id,
	mm2: z.number().min(0.22).max(50).optional().describe("conductor, mm²"),
	metres: z.number().min(0.05).max(50).optional().describe("longest wire of it, one way, m"),
	bar: z
		.string()
		.regex(/^X\d{1,2}$/)
		.optional()
		.describe("the bar that all its wires go to"),
	at: z.record(endText, endText).optional().describe("ends of a bar that are joined elsewhere"),
	ends: z.array(endText).min(1).max(60),
});

const plugSchema = z.strictObject({
	ref: z.string().regex(/^J\d{1,2}$/, "J and a number"),
	zone: id,
	ends: z.array(endText).min(2).max(12).describe("terminals whose wires go through it"),
	blinds: id.optional().describe("channel that a test plug in its place makes read closed"),
	does: words,
});

export const wiringSchema = z.strictObject({
	invented: z.literal(true).describe("its lengths and currents are those of an invented rig"),
	zones: z.record(id, words),
	functions: z.record(id, z.strictObject({ colour: words, means: words })),
	parts: z.record(id, partSchema),
	plugs: z.record(id, plugSchema),
	nets: z.array(netSchema).min(1),
});

export type WiringFile = Readonly<z.infer<typeof wiringSchema>>;
export type Part = Readonly<z.infer<typeof partSchema>>;
export type Net = Readonly<z.infer<typeof netSchema>>;

/** The file with what is needed to ask it: the pin map, and the net at each terminal. */
export interface Netlist extends WiringFile {
	readonly pins: PinMap;
	/** First net that names the terminal `part.terminal`. */
	readonly netAt: ReadonlyMap<string, Net>;
}

/**
 * Reads and checks the wiring's text: kinds, keys, names of zones, functions, channels, terminals.
 * @throws InputError naming file, line, column, key, what was found and what is allowed
 */
export function readNetlist(text: string, file: string, pins: PinMap): Netlist {
	const { value, problem } = readDocument(text, file, wiringSchema);
	const problems: Problem[] = [];
	const say = (path: readonly (string | number)[], allowed: string) =>
		problems.push(problem(path, allowed));
	const refs = new Set<string>();
	for (const [name, part] of Object.entries(value.parts)) {
		const { needs = [] } = rowOf(part.kind);
		const given = Object.keys(part).filter((key) => !EACH_HAS.includes(key));
		const allowed = part.kind === "resistor" ? ["ohm", "of"] : needs;
		for (const key of given) {
			if (!allowed.includes(key)) say(["parts", name, key], `no ${key} for a ${part.kind}`);
		}
		for (const key of needs) {
			if (!given.includes(key)) say(["parts", name], `a ${part.kind} with ${key}`);
		}
		if (part.kind === "resistor" && given.length !== 1) say(["parts", name], "either ohm or of");
		if (!(part.zone in value.zones)) say(["parts", name, "zone"], "a zone of this file");
		if (refs.has(part.ref)) say(["parts", name, "ref"], "a reference used once");
		refs.add(part.ref);
		for (const channel of channelsOf(part)) {
			if (!(channel in pins.channels)) say(["parts", name], `a channel; ${channel} is none`);
		}
		if (part.of !== undefined && ohmOf(part, pins) === null) {
			say(["parts", name, "of"], "a resistance that the channel has in the pin map");
		}
	}
	for (const [name, { ref, zone, ends, blinds }] of Object.entries(value.plugs)) {
		if (refs.has(ref)) say(["plugs", name, "ref"], "a reference used once");
		refs.add(ref);
		if (!(zone in value.zones)) say(["plugs", name, "zone"], "a zone of this file");
		for (const [j, end] of ends.entries()) {
			if (value.nets.some((net) => net.ends.includes(end))) continue;
			say(["plugs", name, "ends", j], "an end of a net");
		}
		const channel = blinds === undefined ? undefined : pins.channels[blinds];
		if (blinds !== undefined && !(channel !== undefined && "loop" in channel)) {
			say(["plugs", name, "blinds"], "a channel with a loop");
		}
	}
	const numbers = new Set<number>();
	for (const [i, net] of value.nets.entries()) {
		if (!(net.function in value.functions)) say(["nets", i, "function"], "a function of this file");
		if (numbers.has(net.net)) say(["nets", i, "net"], "a number used once");
		numbers.add(net.net);
		for (const [end, to] of Object.entries(net.at ?? {})) {
			if (![end, to].every((one) => net.ends.includes(one)))
				say(["nets", i, "at", end], "ends of it");
		}
		for (const [j, end] of net.ends.entries()) {
			const [name = "", terminal = ""] = end.split(".");
			const kind = value.parts[name]?.kind;
			if (kind === undefined) say(["nets", i, "ends", j], "a part of this file");
			else if (!terminalsOf(kind, pins).includes(terminal)) {
				say(["nets", i, "ends", j], `one of ${terminalsOf(kind, pins).join(", ")}`);
			}
		}
	}
	if (problems.length > 0) throw new InputError(problems);
	return withIndex(value, pins);
}

/** The same wiring with the net at each terminal looked up once. */
export function withIndex(file: WiringFile, pins: PinMap): Netlist {
	const netAt = new Map<string, Net>();
	for (const net of file.nets) {
		for (const end of net.ends) if (!netAt.has(end)) netAt.set(end, net);
	}
	return { ...file, pins, netAt };
}

export const channelsOf = ({ channel, channels, of }: Part): string[] => [
	...(channel === undefined ? [] : [channel]),
	...(channels ?? []),
	...(of === undefined ? [] : [of.channel]),
];

/** A resistor's value, Ω; null where neither file has it. */
export function ohmOf({ ohm, of }: Part, pins: PinMap): number | null {
	if (of === undefined) return ohm ?? null;
	let here: unknown = pins.channels[of.channel];
	for (const key of of.value.split(".")) {
		if (typeof here !== "object" || here === null) return null;
		here = Reflect.get(here, key);
	}
	return typeof here === "number" ? here : null;
}

/** Part and terminal of an end. */
export function endOf(list: WiringFile, end: string): { id: string; part: Part; terminal: string } {
	const [name = "", terminal = ""] = end.split(".");
	const part = list.parts[name];
	if (part === undefined)
		throw new InputError([{ file: end, found: "no part", allowed: "a part" }]);
	return { id: name, part, terminal };
}

/** Ids of the parts of a kind. */
export const ofKind = (list: WiringFile, ...wanted: readonly Kind[]): string[] =>
	Object.entries(list.parts).flatMap(([name, { kind }]) => (wanted.includes(kind) ? [name] : []));
