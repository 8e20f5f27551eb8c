// Litres and kilopascals in the reader's units, with what they may be off, for the season's page
// and paper. Pure; imports the units' factors and the number's form.

import { inUnit, type Taste } from "../web/units.ts";
import type { Words } from "../web/words/words.ts";
import { plusMinus } from "./plus-minus.ts";

export class Figures {
	readonly volumeUnit: string;
	readonly pressureUnit: string;
	private readonly taste: Taste;

	constructor(taste: Taste, { units }: Words["kit"]) {
		this.taste = taste;
		this.volumeUnit = units[taste.volume];
		this.pressureUnit = units[taste.pressure];
	}

	/** Of litres, without its unit. */
	readonly toVolume = (litres: number): number => inUnit("volume", litres, this.taste);

	readonly toPressure = (kpa: number): number => inUnit("vacuum", kpa, this.taste);

	readonly volume = (litres: number): string => plain(this.toVolume(litres));

	readonly volumeOff = (litres: number, uncertainty: number): string =>
		off(this.toVolume(litres), this.toVolume(uncertainty));

	/** An inch is some three kilopascals. */
	readonly pressure = (kpa: number): string =>
		this.toPressure(kpa).toFixed(this.taste.pressure === "kilopascal" ? 1 : 2);
}

/** A hundredth is as fine as anything here is read. */
const DIGITS = 2;

/** What is surely nothing is `0`. */
export const off = (value: number, uncertainty: number): string =>
	value === 0 && uncertainty === 0 ? "0" : plusMinus(value, uncertainty, DIGITS);

/** Three digits, or all before the point. */
export function plain(value: number): string {
	if (value === 0) return "0";
	const digits = Math.max(0, Math.min(3, 2 - Math.floor(Math.log10(Math.abs(value)))));
	return String(Number(value.toFixed(digits)));
}
