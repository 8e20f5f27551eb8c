// The wiring's page, hardware/WIRING.md: tables of wires, parts and pins, what to measure before
// the computer is connected, what no rule and no sensor sees. Made from the netlist and the pin
// map; `npm run docs` writes it, a test holds it equal. Pure.

import type { Channel } from "../../firmware/config/pins.ts";
import {
	farEndTexts,
	nameOf,
	ohmText,
	placeText,
	ratingText,
	terminalText,
} from "./drawing/part-words.ts";
import type { Sheet } from "./drawing/sheet-plan.ts";
import { CLAMP_A, TOUCH_VOLTS, touchAmps, voltRows } from "./input-volts.ts";
import { channelsOf, endOf, type Net, type Netlist, ofKind, ohmOf } from "./netlist.ts";
import { table } from "./parts-page.ts";
import { carriesAmps } from "./power-rules.ts";
import { ruleNames, rules } from "./rules.ts";
import {
	CAUTIONS,
	COLOURS,
	INTRODUCTION,
	MEASURE,
	MEASURE_STEPS,
	PLUGS,
	RULES,
	SHEETS,
	UNSEEN,
	VOLTS,
} from "./wiring-words.ts";

export interface WiringPageInputs {
	readonly list: Netlist;
	readonly sheets: readonly Sheet[];
	readonly revision: string;
}

export function wiringPage({ list, sheets, revision }: WiringPageInputs): string {
	const sections = [
		"# How it is wired",
		"<!-- Made from wiring.yaml and pins.yaml by `npm run docs`: change those, not this. -->",
		`Revision ${revision}, as on the sheets.`,
		INTRODUCTION,
		CAUTIONS.map((words) => `- ${words}`).join("\n"),
		"## Sheets",
		SHEETS,
		table(
			["sheet", "file beside this page", "shows"],
			sheets.map(({ sheet, title }, i) => [String(i + 1), `\`${sheet}.svg\``, title]),
		),
		"## Wires",
		WIRES,
		table(
			["number", "from", "to", "colour", "mm²", "up to m", "note"],
			list.nets.flatMap((net) => wireRows(net, list)),
		),
		"## Colours",
		COLOURS,
		table(
			["colour", "means"],
			Object.values(list.functions).map(({ colour, means }) => [colour, means]),
		),
		"## Parts and where they are",
		table(["reference", "what", "where", "value", "does"], partRows(list)),
		"## Plugs",
		PLUGS,
		table(["reference", "where", "wires", "does", "test plug"], plugRows(list)),
		"## Pins",
		pinsWords(list),
		table(["channel", "at", "does", "wire at the pin"], pinRows(list)),
		"## Channel budget",
		table(["what", "there are", "used", "free"], budgetRows(list)),
		"## Measure before the computer is connected",
		MEASURE,
		MEASURE_STEPS.map((words, i) => `${i + 1}. ${words}`).join("\n"),
		VOLTS,
		table(["channel", "measure at", "state", "volts"], voltCells(list)),
		"## What 12 V on a wrong wire does",
		touchWords(list),
		touchList(list),
		"## What nothing here sees",
		UNSEEN.map((words) => `- ${words}`).join("\n"),
		"## Rules that the wiring is held to",
		RULES,
		ruleNames.map((name) => `- ${rules[name].says}`).join("\n"),
	];
	return `${sections.join("\n\n")}\n`;
}

const WIRES = [
	"A row is one wire. Its number stands on a sleeve at both of its ends; where a bar (X) is an",
	"end, the wire goes to that bar. A joint of three ends is made at the first one. `soldered` is",
	"a joint on the solder board. The current behind a fuse that each size carries in a bundle of",
	`seven: ${[0.5, 0.75, 1, 1.5].map((mm2) => `${mm2} mm² ${carriesAmps(mm2)} A`).join(", ")}`,
	"(ISO 10133's table for 70 °C from memory, halved for the bundle after ABYC E-11; 0.5 mm² is",
	"common practice, no source).",
].join(" ");

function endText(end: string, list: Netlist): string {
	const { id, part, terminal } = endOf(list, end);
	return `${part.ref} ${nameOf(id, part)}: ${terminalText(part, terminal, list)}`;
}

/** No wire inside the box, or from one part to its neighbour, is longer, m (invented). */
const IN_BOX_M = 0.5;

function wireRow(net: Net, list: Netlist, from: string, to: string | null): string[] {
	const { mm2, metres, bar = "" } = net;
	const zones = [from, ...(to === null ? [] : [to])].map((end) => endOf(list, end).part.zone);
	const inBox = zones.every((zone) => zone === (to === null ? "control-box" : zones[0]));
	const length = metres !== undefined && inBox ? Math.min(IN_BOX_M, metres) : metres;
	return [
		String(net.net),
		endText(from, list),
		to === null ? bar : endText(to, list),
		net.function === "soldered" ? "soldered" : (list.functions[net.function]?.colour ?? ""),
		mm2 === undefined ? "–" : String(mm2),
		length === undefined ? "–" : String(length),
		net.name,
	];
}

function wireRows(net: Net, list: Netlist): string[][] {
	const [first = "", ...others] = net.ends;
	if (net.bar !== undefined) {
		return net.ends.map((end) => wireRow(net, list, end, net.at?.[end] ?? null));
	}
	return others.map((end) => wireRow(net, list, first, end));
}

const refOrder = (a: readonly string[], b: readonly string[]) =>
	(a[0] ?? "").localeCompare(b[0] ?? "", "en", { numeric: true });

function partRows(list: Netlist): string[][] {
	return Object.entries(list.parts)
		.map(([id, part]) => {
			const far = FAR.includes(part.kind) ? farEndTexts(part, list) : [];
			const value = [ratingText(part, list), ...far].filter((one) => one !== "").join(", ");
			const does =
				channelsOf(part).length > 0 && part.of ? `${part.does} of ${part.of.channel}` : part.does;
			return [part.ref, nameOf(id, part), list.zones[part.zone] ?? "", value, does];
		})
		.sort(refOrder);
}
const FAR: readonly string[] = [
	"stop-button",
	"seat-switch",
	"pressure-switch",
	"loop-end",
	"probe",
];

function plugRows(list: Netlist): string[][] {
	return Object.values(list.plugs).map(({ ref, zone, ends, does, blinds }) => {
		const channel = blinds === undefined ? undefined : list.pins.channels[blinds];
		const ohm = channel !== undefined && "loop" in channel ? channel.loop?.seriesOhm : undefined;
		const wires = ends.map((end) => `${list.netAt.get(end)?.net ?? ""} at ${endText(end, list)}`);
		const test = ohm === undefined ? "none" : `${ohmText(ohm)} across; ${blinds} reads closed`;
		return [ref, list.zones[zone] ?? "", wires.join("; "), does, test];
	});
}

const pinsWords = ({ pins }: Netlist) =>
	[
		`Board: ${pins.board}. Its serial pins and the pin that blinks at boot stay free; so do all`,
		"others that are not here.",
	].join(" ");

function pinRows(list: Netlist): string[][] {
	const monitor = ofKind(list, "monitor")[0] ?? "";
	return Object.entries(list.pins.channels).map(([name, channel]) => {
		const chip =
			channel.kind === "converter" ? "converter" : channel.kind === "i2c" ? monitor : "board";
		const net = list.netAt.get(`${chip}.${name}`);
		const ref = list.parts[chip]?.ref ?? "";
		return [
			name,
			`${ref} ${placeText(channel)}`,
			channel.does,
			net === undefined ? "bus" : String(net.net),
		];
	});
}

function budgetRows({ pins }: Netlist): string[][] {
	const all = Object.values(pins.channels);
	const count = (...kinds: readonly Channel["kind"][]) =>
		all.filter(({ kind }) => kinds.includes(kind)).length;
	const row = (what: string, there: number, used: number) => [
		what,
		String(there),
		String(used),
		String(there - used),
	];
	return [
		row("analog pins beside the bus", pins.adc.pins - pins.adc.pinsForI2c, count("analog")),
		row("inputs of the converter", CONVERTER_INPUTS, count("converter")),
		row("digital pins", DIGITAL_PINS, count("digital-out", "digital-in", "pulse")),
	];
}
/** Of the schema of the pin map: eight inputs; and the digital pins that it allows. */
const CONVERTER_INPUTS = 8;
const DIGITAL_PINS = 11;

/** The wire's side of what guards a channel. */
function testPoint(channel: string, list: Netlist): string {
	const chip = list.pins.channels[channel]?.kind === "analog" ? "board" : "converter";
	const guard = list.netAt.get(`${chip}.${channel}`)?.ends.find((end) => end.endsWith(".pin"));
	const part = guard === undefined ? undefined : endOf(list, guard).part;
	return part === undefined ? "" : `${part.ref} wire`;
}

function voltCells(list: Netlist): string[][] {
	return voltRows(list).map(({ channel, state, min, max }) => [
		channel,
		testPoint(channel, list),
		state,
		max - min < 0.005 ? min.toFixed(2) : `${min.toFixed(2)} to ${max.toFixed(2)}`,
	]);
}

function touchWords({ pins, parts }: Netlist): string {
	const guards = Object.values(parts).filter(({ kind }) => kind === "guard");
	const guardOhm = Math.min(...guards.map(({ ohm = 0 }) => ohm));
	const amps = touchAmps(guardOhm, pins.adc.referenceVolts);
	return [
		`A battery on charge has ${TOUCH_VOLTS} V. Through a guard of ${ohmText(guardOhm)} that drives`,
		`${(amps * 1e3).toFixed(2)} mA into the pin's own clamp, under the ${CLAMP_A * 1e3} mA that it`,
		"may take (common practice, no source): an analog input reads full scale and lives. The",
		"reading is then that of a cut wire, a sensor fault. Other wires:",
	].join(" ");
}

function touchList(list: Netlist): string {
	const { adc, channels } = list.pins;
	const digital = Object.entries(channels).flatMap(([name, { kind }]) => {
		if (kind !== "digital-in" && kind !== "pulse") return [];
		const series = list.netAt.get(`board.${name}`)?.ends.find((end) => end.endsWith(".b"));
		const part = series === undefined ? undefined : endOf(list, series).part;
		const ohm = part === undefined ? null : ohmOf(part, list.pins);
		if (ohm === null) return [];
		const milliamps = (1e3 * touchAmps(ohm, adc.referenceVolts)).toFixed(2);
		return [`${name}: ${milliamps} mA through ${ohmText(ohm)}. The pin lives.`];
	});
	return [
		...digital,
		"probe-plus, probe-minus: behind R15 and R3. The pins live; the probe reads as a fault.",
		"X3: every sensor and both converters die. Keep 12 V out of the sensors' cables and plugs.",
		"Battery the wrong way round: V1 conducts and F1 melts. T1 has to stand it by itself.",
		"U3 coil: K2 does not close by it; its coil has 12 V at both ends.",
		"K2 coil-plus: K2 no longer asks stop button, return or pressure switch, see below.",
	]
		.map((words) => `- ${words}`)
		.join("\n");
}
