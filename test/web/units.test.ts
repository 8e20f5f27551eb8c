// Units to the reader's taste: factors against values worked by hand, there and back without a
// loss, and texts as they stand on a page.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { numberIn } from "../../host/web/kit/number-in.ts";
import { digitsOf } from "../../host/web/kit/tick-digits.ts";
import {
	clock,
	figure,
	fromUnit,
	inUnit,
	type Kind,
	measure,
	numeral,
	roughSpan,
	SI,
	span,
	type Taste,
} from "../../host/web/units.ts";

const US: Taste = { volume: "gallons", pressure: "inchesOfMercury", temperature: "fahrenheit" };
const plain = (text: string) => text.replaceAll("\u00a0", " ");

describe("what is shown", () => {
	it.each<[string, Kind, number, Taste, string]>([
		["litres", "volume", 45.02, SI, "45.0 L"],
		["a tank in US gallons", "volume", 310, US, "81.89 US gal"],
		["a flow in US gallons", "flow", 90.7, US, "24.0 US gal/h"],
		["vacuum", "vacuum", 14.5, SI, "14.5 kPa"],
		["vacuum in inches of mercury", "vacuum", 14.5, US, "4.3 inHg"],
		["frost", "temperature", -6, SI, "-6.0 °C"],
		["frost in Fahrenheit", "temperature", -6, US, "21 °F"],
		["a share", "share", 0.624, SI, "62 %"],
		["a volume that stays in millilitres", "small", 220, US, "220 mL"],
		["no minus before nothing", "vacuum", -0.01, SI, "0.0 kPa"],
	])("%s", (_, kind, stored, taste, text) => {
		expect(plain(measure(kind, stored, taste))).toBe(text);
	});

	it("may have other digits, and none of its unit", () => {
		expect(figure("volts", 12.384, SI, 2)).toBe("12.38");
		expect(numeral(12_345.678, 1)).toBe("12,345.7");
	});

	it("comes back as it was stored, but for rounding", () => {
		const kinds = ["volume", "flow", "vacuum", "temperature", "share"] as const;
		fc.assert(
			fc.property(
				fc.constantFrom(...kinds),
				fc.constantFrom(SI, US),
				fc.double({ min: -50, max: 100_000, noNaN: true }),
				(kind, taste, stored) => {
					const back = fromUnit(kind, inUnit(kind, stored, taste), taste);
					expect(Math.abs(back - stored)).toBeLessThanOrEqual(1e-9 * Math.max(1, Math.abs(stored)));
				},
			),
			{ seed: 20, numRuns: 300 },
		);
	});

	it("is exact by the gallon: 231 cubic inches", () => {
		expect(fromUnit("volume", 1, US)).toBe(3.785411784);
		expect(231 * 2.54 ** 3).toBeCloseTo(3785.411784, 9);
	});
});

describe("a length of time", () => {
	it.each([
		[-5, "0 s"],
		[59_999, "59 s"],
		[60_000, "1 min 00 s"],
		[3_599_000, "59 min 59 s"],
		[7_500_000, "2 h 05 min"],
		[200_000_000, "2 d 7 h"],
	])("of %d ms", (ms, text) => expect(plain(span(ms))).toBe(text));

	it("that is only about right tells no seconds of many minutes", () => {
		expect(plain(roughSpan(827_000))).toBe("14 min");
		expect(plain(roughSpan(70_000))).toBe("1 min 10 s");
	});
});

it("a time since a beginning stands in hours, minutes and seconds", () => {
	expect([0, 65_000, 37_322_000].map(clock)).toEqual(["0:00:00", "0:01:05", "10:22:02"]);
});

describe("the numbers at an axis", () => {
	it.each([
		[50, 0],
		[1, 0],
		[2.5, 1],
		[0.2, 1],
		[0.25, 2],
		[0.01, 2],
	])("counted by %d have %d digits", (step, digits) => expect(digitsOf(step)).toBe(digits));
});

describe("a number that was typed", () => {
	it.each([
		["1.5", 1.5],
		["1,5", 1.5],
		[" 1 200 ", 1200],
		["-3", -3],
		[".5", 0.5],
		["", null],
		["1.2.3", null],
		["12 L", null],
		["1e3", null],
		["Infinity", null],
	])("%j", (text, value) => expect(numberIn(text)).toBe(value));
});
