// Units to the reader's taste. All that is stored, sent and reckoned with is SI and litres; here it
// becomes text, and what a reader typed becomes SI again. Pure. The gallon is the US one of 231
// cubic inches of 25.4 mm, exact; the inch of mercury is the conventional one (both NIST SP 811,
// from memory).

import { words } from "./words/words.ts";

export const LITRES_PER_GALLON = 3.785411784;
export const KPA_PER_INHG = 3.386389;

export interface Taste {
	readonly volume: "litres" | "gallons";
	readonly pressure: "kilopascal" | "inchesOfMercury";
	readonly temperature: "celsius" | "fahrenheit";
}

export const SI: Taste = { volume: "litres", pressure: "kilopascal", temperature: "celsius" };

type UnitName = keyof ReturnType<typeof words>["kit"]["units"];

interface Scale {
	readonly unit: UnitName;
	/** Shown is stored times this, plus the offset. */
	readonly factor: number;
	readonly offset: number;
	/** Digits after the point where nobody asks for others. */
	readonly digits: number;
}

const plain = (unit: UnitName, digits: number, factor = 1): Scale => ({
	unit,
	factor,
	offset: 0,
	digits,
});

/** What is shown, by what it is stored in: L, L/h, mL, kPa, °C, V, A, share, h. */
const scales = {
	volume: ({ volume }: Taste) =>
		volume === "litres" ? plain("litres", 1) : plain("gallons", 2, 1 / LITRES_PER_GALLON),
	flow: ({ volume }: Taste) =>
		volume === "litres"
			? plain("litresPerHour", 1)
			: plain("gallonsPerHour", 1, 1 / LITRES_PER_GALLON),
	small: () => plain("millilitres", 0),
	vacuum: ({ pressure }: Taste) =>
		pressure === "kilopascal"
			? plain("kilopascal", 1)
			: plain("inchesOfMercury", 1, 1 / KPA_PER_INHG),
	temperature: ({ temperature }: Taste): Scale =>
		temperature === "celsius"
			? plain("celsius", 1)
			: { unit: "fahrenheit", factor: 1.8, offset: 32, digits: 0 },
	volts: () => plain("volts", 1),
	amps: () => plain("amps", 2),
	share: () => plain("percent", 0, 100),
	hours: () => plain("hours", 2),
} as const satisfies Record<string, (taste: Taste) => Scale>;

export type Kind = keyof typeof scales;

const scaleOf = (kind: Kind, taste: Taste): Scale => scales[kind](taste);

/** As a number in the reader's unit. */
export function inUnit(kind: Kind, stored: number, taste: Taste): number {
	const { factor, offset } = scaleOf(kind, taste);
	return stored * factor + offset;
}

/** Back from the reader's unit; twelve digits, so that 10 gallons are 37.85411784 L. */
export function fromUnit(kind: Kind, shown: number, taste: Taste): number {
	const { factor, offset } = scaleOf(kind, taste);
	return Number(((shown - offset) / factor).toPrecision(12));
}

export const unitOf = (kind: Kind, taste: Taste): string =>
	words().kit.units[scaleOf(kind, taste).unit];

/** The number alone, as `12.3`, in the reader's language. */
export function figure(kind: Kind, stored: number, taste: Taste, digits?: number): string {
	const places = digits ?? scaleOf(kind, taste).digits;
	return numeral(inUnit(kind, stored, taste), places);
}

/** Number and unit, as `12.3 L`. */
export function measure(kind: Kind, stored: number, taste: Taste, digits?: number): string {
	return words().kit.withUnit(figure(kind, stored, taste, digits), unitOf(kind, taste));
}

const formats = new Map<string, Intl.NumberFormat>();

/** A number with so many digits after the point; never a minus before nothing. */
export function numeral(value: number, digits: number): string {
	const { locale } = words();
	const key = `${locale} ${digits}`;
	let format = formats.get(key);
	if (format === undefined) {
		const places = { minimumFractionDigits: digits, maximumFractionDigits: digits };
		format = new Intl.NumberFormat(locale, { ...places, signDisplay: "negative" });
		formats.set(key, format);
	}
	return format.format(value);
}

/** Time since a beginning, as `0:01:05`: hours, minutes, seconds. */
export function clock(ms: number): string {
	const s = Math.max(0, Math.floor(ms / 1000));
	const two = (value: number) => String(value).padStart(2, "0");
	return `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
}

/** A length of time that is only about right: whole minutes from two of them on. */
export function roughSpan(ms: number): string {
	const min = Math.round(ms / 60_000);
	const { units, withUnit } = words().kit;
	return min < 2 || min >= 60 ? span(ms) : withUnit(String(min), units.minutes);
}

/** A length of time in two units at most, as `2 h 05 min`; whole seconds under a minute. */
export function span(ms: number): string {
	const { units, withUnit } = words().kit;
	const s = Math.max(0, Math.floor(ms / 1000));
	const part = (value: number, unit: string, least = 1) =>
		withUnit(String(value).padStart(least, "0"), unit);
	if (s < 60) return part(s, units.seconds);
	const min = Math.floor(s / 60);
	if (min < 60) return `${part(min, units.minutes)} ${part(s % 60, units.seconds, 2)}`;
	const h = Math.floor(min / 60);
	if (h < 48) return `${part(h, units.hours)} ${part(min % 60, units.minutes, 2)}`;
	return `${part(Math.floor(h / 24), units.days)} ${part(h % 24, units.hours)}`;
}
