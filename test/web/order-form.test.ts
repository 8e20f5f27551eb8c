// The order form: whatever it lets pass, the controller's own schema lets pass, and what it refuses
// it says at the field.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { workSchema } from "../../firmware/cycle/order-schemas.ts";
import { emptyForm, type OrderForm, workFrom } from "../../host/web/live/order-form.ts";
import { SI } from "../../host/web/units.ts";

const form = (change: Partial<OrderForm>): OrderForm => ({
	...emptyForm("port", "day"),
	attended: "stays",
	...change,
});

describe("what is filled in", () => {
	it.each<[string, Partial<OrderForm>, unknown]>([
		["turnovers", {}, { polish: { tank: "port", attended: true, turnovers: 3 } }],
		[
			"litres of a tank with its dip",
			{ goal: "litres", amount: "45,5", dip: "180" },
			{ polish: { tank: "port", attended: true, litres: 45.5, dipLitres: 180 } },
		],
		[
			"a share of dirt",
			{ goal: "targetDilution", dilution: "5" },
			{ polish: { tank: "port", attended: true, targetDilution: 0.05 } },
		],
		[
			"a transfer up to the ullage line",
			{ work: "transfer", transferGoal: "ullage" },
			{ transfer: { from: "port", to: "day", attended: true } },
		],
		[
			"a transfer into an empty tank",
			{ work: "transfer", transferGoal: "fillToPct", level: "90", toDip: "0" },
			{ transfer: { from: "port", to: "day", attended: true, fillToPct: 90, toDipLitres: 0 } },
		],
		[
			"a sweep that nobody attends",
			{ work: "sweep", attended: "leaves", seen: true, bursts: "4" },
			{ sweep: { tank: "port", attended: false, standSeconds: 20, dryBursts: 4 } },
		],
	])("%s", (_, change, work) => {
		expect(workFrom(form(change), SI)).toEqual({ work });
	});
});

describe("what is wrong", () => {
	it.each<[string, Partial<OrderForm>, keyof OrderForm, RegExp]>([
		["nobody said who is there", { attended: "" }, "attended", /Choose/],
		["the coverage is not read", { attended: "leaves" }, "seen", /Read/],
		["no number", { turnovers: "many" }, "turnovers", /number/],
		["too many turnovers", { turnovers: "51" }, "turnovers", /At most 50/],
		["no litres", { goal: "litres" }, "amount", /number/],
		["a stand that is too short", { work: "sweep", stand: "5" }, "stand", /At least 20/],
		["half a burst", { work: "sweep", bursts: "2.5" }, "bursts", /whole/],
		["one tank for both", { work: "transfer", to: "port", amount: "5" }, "to", /Another/],
	])("%s", (_, change, field, words) => {
		const filled = workFrom(form(change), SI);
		expect("errors" in filled ? filled.errors[field] : null).toMatch(words);
	});
});

it("what it lets pass, the controller's schema lets pass; what it refuses, one field says", () => {
	const figure = fc.oneof(
		{ withCrossShrink: true },
		fc.integer({ min: 20, max: 50 }).map(String),
		fc.integer({ min: 20, max: 50 }).map(String),
		fc.constantFrom("", "0", "x", "1e9", "-1"),
		fc.double({ min: 0, max: 300, noNaN: true }).map((value) => value.toFixed(3)),
		fc.integer({ min: 0, max: 120_000 }).map(String),
	);
	const drawn = fc.record<OrderForm>({
		work: fc.constantFrom("polish", "transfer", "sweep"),
		tank: fc.constantFrom("port", "day"),
		to: fc.constantFrom("port", "day"),
		goal: fc.constantFrom("turnovers", "litres", "hours", "targetDilution"),
		transferGoal: fc.constantFrom("litres", "fillToPct", "ullage"),
		turnovers: figure,
		amount: figure,
		hours: figure,
		dilution: figure,
		level: figure,
		dip: figure,
		toDip: figure,
		bursts: figure,
		stand: figure,
		attended: fc.constantFrom("", "stays", "leaves"),
		seen: fc.boolean(),
	});
	let passed = 0;
	fc.assert(
		fc.property(drawn, (form) => {
			const filled = workFrom(form, SI);
			if ("errors" in filled) {
				expect(Object.values(filled.errors).length).toBeGreaterThan(0);
				return;
			}
			passed += 1;
			expect(workSchema.safeParse(filled.work).error).toBeUndefined();
		}),
		{ seed: 21, numRuns: 3_000 },
	);
	expect(passed).toBeGreaterThan(100);
});
