// What a box and its terminals say on a sheet, and what a wire says at its ends. Values and pins
// come from the pin map. Pure.

import type { Channel } from "../../../firmware/config/pins.ts";
import { type Net, type Netlist, ohmOf, type Part } from "../netlist.ts";
import { rowOf } from "../part-kinds.ts";

/** `10 kΩ` */
export function ohmText(ohm: number): string {
	if (ohm >= 1e6) return `${ohm / 1e6} MΩ`;
	return ohm >= 1e3 ? `${ohm / 1e3} kΩ` : `${ohm} Ω`;
}

/** A part's own name in words. */
export const nameOf = (id: string, { kind }: Part): string =>
	kind === "relay" || kind === "dead-man"
		? kind
		: id
				.replace(/^bond-/, "")
				.replaceAll("-", " ")
				.replace(/\bk(?=\d)/, "K");

/** What a part is rated for or worth, in a few words. */
export function ratingText(part: Part, { pins }: Pick<Netlist, "pins">): string {
	const ohm = ohmOf(part, pins);
	switch (part.kind) {
		case "fuse":
			return `${part.amps} A`;
		case "resistor":
			return ohm === null ? "" : ohmText(ohm);
		case "guard":
			return `${ohmText(part.ohm ?? 0)} + ${part.nanofarad} nF`;
		case "shunt":
			return `${part.milliohm} mΩ`;
		case "diode":
			return `${part.amps} A`;
		case "suppressor":
			return `${part.standoffVolts} V`;
		case "relay":
		case "isolator":
			return `${part.contactAmps} A`;
		case "regulator":
			return `${part.limitAmps} A`;
		default:
			return "";
	}
}

/** Resistors that sit in a switch or a probe, at the far end of its wires; none for other parts. */
export function farEndTexts({ channel }: Part, { pins }: Pick<Netlist, "pins">): string[] {
	const row = channel === undefined ? undefined : pins.channels[channel];
	if (row === undefined || !("loop" in row || "bridge" in row)) return [];
	const ends = row.loop ?? row.bridge;
	if (ends === undefined) return [];
	return [`${ohmText(farSeriesOhm(ends))} in series`, `${ohmText(ends.endOfLineOhm)} across`];
}

/** What is in series at the far end itself: all but what a bridge has in the box. */
export const farSeriesOhm = (ends: { readonly seriesOhm: number; readonly boxOhm?: number }) =>
	ends.seriesOhm - (ends.boxOhm ?? 0);

/** Where a channel comes to its chip. */
export function placeText(channel: Channel): string {
	if (channel.kind === "converter") return `input ${channel.input}`;
	return channel.kind === "i2c" ? `register ${channel.register}` : `pin ${channel.pin}`;
}

export function terminalText({ kind }: Part, terminal: string, { pins }: Pick<Netlist, "pins">) {
	const isChip = kind === "board" || kind === "converter";
	const channel =
		isChip && !rowOf(kind).terminals.includes(terminal) ? pins.channels[terminal] : undefined;
	return channel === undefined ? terminal : `${terminal}, ${placeText(channel)}`;
}

/** `20 dark blue 0.75` */
export function wireText(net: Net, { functions }: Pick<Netlist, "functions">): string {
	if (net.function === "soldered") return `${net.net} soldered`;
	const colour = functions[net.function]?.colour ?? "";
	return net.function === "cable"
		? `${net.net} ${net.name} cable`
		: `${net.net} ${colour} ${net.mm2}`;
}
