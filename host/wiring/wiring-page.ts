// The wiring's page, hardware/WIRING.md: tables of wires, parts and pins, what to measure before the
// computer is connected, what no rule and no sensor sees. Made from the netlist and the pin map;
// `npm run docs` writes it, a test holds it equal. Pure.

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

const INTRODUCTION = [
	"The whole box, wire by wire. Lengths, currents and fuses are those of an invented example rig:",
	"`lees size` works out yours. Where the law or the insurer asks for licensed practice, a licensed",
	"person does this or checks it.",
].join(" ");

const CAUTIONS = [
	"Isolator off and locked, both fuses at the battery pulled, before a hand goes to a wire. A house battery melts a ring or a spanner.",
	"No open fuel, no vapour of petrol or LPG, while a fuse is put in or a plug is made.",
	"The fuse stands at the battery, and no conductor behind it is thinner than it asks (ISO 13297, ABYC E-11).",
	"The stop button, the return switch and the fuse work without the computer. Button and switch are proven twice: by ohms with the computer unplugged, and in an attended run, where each drops K2.",
	"No safety integrity level and no performance level is claimed for any of this.",
];

const SHEETS = [
	"A4, landscape; print them at 100 %. The number in the title block changes with every change of",
	"the wiring: a sheet with another number is out of date.",
].join(" ");

const WIRES = [
	"A row is one wire. Its number stands on a sleeve at both of its ends; where a bar (X) is an end,",
	"the wire goes to that bar. A joint of three ends is made at the first one. `soldered` is",
	"a joint on the solder board. The current behind a fuse that each size carries in a bundle of",
	`seven: ${[0.5, 0.75, 1, 1.5].map((mm2) => `${mm2} mm² ${carriesAmps(mm2)} A`).join(", ")}`,
	"(ISO 10133's table for 70 °C from memory, halved for the bundle after ABYC E-11; 0.5 mm² is",
	"common practice, no source).",
].join(" ");

const COLOURS = [
	"By function. Red, black, green, brown, orange, pink and tan after ISO 13297 and ABYC E-11, from",
	"memory; the rest is common practice, no source. In an older boat black may not be minus:",
	"measure, do not trust.",
].join(" ");

function endText(end: string, list: Netlist): string {
	const { id, part, terminal } = endOf(list, end);
	return `${part.ref} ${nameOf(id, part)}: ${terminalText(part, terminal, list)}`;
}

/** No wire inside the box is longer, m (invented). */
const IN_BOX_M = 0.5;

function wireRow(net: Net, list: Netlist, from: string, to: string | null): string[] {
	const { mm2, metres, bar = "" } = net;
	const inBox = [from, to ?? from].every((end) => endOf(list, end).part.zone === "control-box");
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
const FAR: readonly string[] = ["stop-button", "seat-switch", "loop-end", "probe"];

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

const MEASURE = [
	"With the meter's minus lead on X4 unless something else is said. Whatever differs is mended",
	"before the next step. The 5 V for steps 5 and 6 come from a plain USB charger into the board, not",
	"from the computer: a fault then costs a charger.",
].join(" ");

const MEASURE_STEPS = [
	"**Nothing connected, fuses out, computer unplugged.** Ohms from each wire's one end to its other: below 1 Ω. From X1, X2, X3 to each other: no short, above 100 Ω (diodes and coils show less one way round than the other). From X1 to X4: below 1 Ω; take W1 off and it is above 10 kΩ.",
	"**Loop of K2.** Ohms from X2 to K2's coil-plus: below 2 Ω with the stop button out and the return fitting locked. Press the button: open. Release it, unlock the fitting: open.",
	"**Contacts.** Ohms from R1 out to M1 plus: open.",
	"**12 V.** Put F1 and F3 in, isolator on, pump unplugged at the frame. X2 against X1: the battery's volts. M1's plus against X1: 0 V. K1 and K2 are silent, lamps and horn are dark and silent.",
	"**5 V.** Isolator off and locked, F1 out. Charger into the board. X3 against X4: 4.75 to 5.25 V. Note it: all the volts below are for 5.00 V and go with it.",
	"**Inputs.** Each one below, at the wire's end of its guard, in each state that you can make by hand. Unplug a connector for `wire cut`; bridge its two contacts for `wires shorted`.",
	"**Beat.** A3's terminal `beat` against X4: below 0.1 V. Nothing has closed K2 while the charger went in or out.",
	"**Then** the computer, with the pump still unplugged, and the commissioning steps.",
];

const VOLTS = [
	"Range over 1 % resistors, at 5.00 V on X3. The water probe is driven by the controller, both ways",
	"in turn: before the computer is connected it reads 0 V, and the rows for it are for later.",
].join(" ");

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

function touchWords({ pins }: Netlist): string {
	const guardOhm = 10_000;
	const amps = touchAmps(guardOhm, pins.adc.referenceVolts);
	return [
		`A battery on charge has ${TOUCH_VOLTS} V. Through a guard of ${ohmText(guardOhm)} that drives`,
		`${(amps * 1e3).toFixed(2)} mA into the pin's own clamp, under the ${CLAMP_A * 1e3} mA that it`,
		"may take (common practice, no source): an analog input reads full scale and lives. The reading",
		"is then that of a cut wire, which stops the pump. What has no guard:",
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
		const milliamps = (1e3 * touchAmps(ohm, adc.referenceVolts)).toFixed(1);
		return [`${name}: ${milliamps} mA through ${ohmText(ohm)}. The pin is likely to die.`];
	});
	return [
		...digital,
		"probe-minus: its wire comes straight from the pin. The pin is likely to die.",
		"X3: every sensor and both converters die. Keep 12 V out of the sensors' cables and plugs.",
		"A3 coil: K2 does not close by it; its coil has 12 V at both ends.",
		"K2 coil-plus: K2 no longer asks stop button or return switch, see below.",
	]
		.map((words) => `- ${words}`)
		.join("\n");
}

const UNSEEN = [
	"A short between wires 8 and 10 goes round the stop button's and the return switch's poles; one between 9 and 10 goes round the return switch. The second poles still tell the controller, which stops the pump by K1, but the hardware way is gone until the next proof test. So these wires run in a cable of their own, and both are pressed in every proof test.",
	"A broken joint of X1 with the battery: pump, box and computer lose 0 V together, and all stops. If the computer has another way to the boat's minus (a screen, an aerial, a charger), the pump's current would take it, through the USB cable. So it has none, or there is a USB isolator.",
	"A broken wire W1: the USB cable is then the only joint of the two 0 V. Drivers and sensors shift by some millivolts, and nobody notices. Step 1 finds it.",
	"A flyback diode that is broken open: contacts and drivers wear. Look for it at the yearly test.",
	"A loose joint of the pump's wires gets warm. Feel for it after the first hour, isolator off.",
	"A second sensor fuse would be needed to keep one shorted sensor from taking the others along: they all go unknown, and the pump stops.",
];

const RULES =
	"`npm run docs` refuses to draw a wiring that breaks one of these, and for each there is a test that spoils the wiring and sees it found.";
