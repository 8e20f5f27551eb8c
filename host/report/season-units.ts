// Litres and kilopascals in the reader's units, for the season's page and paper. All else is in
// units that everybody aboard reads. Pure; imports the number's form.

import { plusMinus } from "./plus-minus.ts";

export interface SeasonUnits {
	readonly volume: "L" | "gal";
	readonly pressure: "kPa" | "inHg";
}

export const SI: SeasonUnits = { volume: "L", pressure: "kPa" };

/** US gallon, L: exact (231 cubic inches of 25.4 mm). */
const GALLON_L = 3.785411784;
/** Inch of mercury, conventional, kPa (NIST SP 811, appendix B.8; from memory). */
const IN_HG_KPA = 3.386389;

export class Figures {
	readonly volumeUnit: string;
	readonly pressureUnit: string;
	private readonly perLitre: number;
	private readonly perKpa: number;
	private readonly pressureDigits: number;

	constructor({ volume, pressure }: SeasonUnits) {
		this.volumeUnit = volume === "L" ? "L" : "US gal";
		this.pressureUnit = pressure;
		this.perLitre = volume === "L" ? 1 : 1 / GALLON_L;
		this.perKpa = pressure === "kPa" ? 1 : 1 / IN_HG_KPA;
		this.pressureDigits = pressure === "kPa" ? 1 : 2;
	}

	/** Of litres, without its unit. */
	readonly toVolume = (litres: number): number => this.perLitre * litres;

	readonly toPressure = (kpa: number): number => this.perKpa * kpa;

	readonly volume = (litres: number): string => plain(this.toVolume(litres));

	readonly volumeOff = (litres: number, uncertainty: number): string =>
		off(this.toVolume(litres), this.toVolume(uncertainty));

	readonly pressure = (kpa: number): string => this.toPressure(kpa).toFixed(this.pressureDigits);
}

/** What is surely nothing is `0`. */
export const off = (value: number, uncertainty: number): string =>
	value === 0 && uncertainty === 0 ? "0" : plusMinus(value, uncertainty);

/** Three digits, or all before the point. */
export function plain(value: number): string {
	if (value === 0) return "0";
	const digits = Math.max(0, Math.min(3, 2 - Math.floor(Math.log10(Math.abs(value)))));
	return String(Number(value.toFixed(digits)));
}
