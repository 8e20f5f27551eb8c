// When records were written, by clocks shown to a rig that has none: against numbers worked by
// hand, and as properties over drawn boots.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { dateBoots, isDated, type Sighting, type When } from "../../host/archive/dating.ts";

/** What the properties draw from. */
const SEED = 20_261_126;

const HOUR = 3_600_000;
/** 2026-11-29T10:00Z. */
const T = Date.UTC(2026, 10, 29, 10);
const spans = (...lastMs: number[]) => lastMs.map((last, i) => ({ boot: i + 1, lastMs: last }));
const sight = (boot: number, monoMs: number, utcMs: number, uncertaintyMs = 2_000): Sighting => ({
	boot,
	monoMs,
	utcMs,
	uncertaintyMs,
});

function dated(when: When) {
	if (!isDated(when)) throw new Error(`not dated: ${JSON.stringify(when)}`);
	return when;
}

describe("one reading", () => {
	it("dates the boot's records before and after it, less surely the further off", () => {
		const { at } = dateBoots([sight(1, HOUR, T)], spans(4 * HOUR));
		// k u = 2 sqrt(2000² / 3 + (1e-4 t)² / 3): 2309.4 ms at it, 2312.5 ms 1 h off.
		expect(at(1, HOUR)).toEqual({ utcMs: T, uncertaintyMs: 2_310 });
		expect(dated(at(1, 0))).toEqual({ utcMs: T - HOUR, uncertaintyMs: 2_347 });
		// At 24 h the crystal is the larger part: 2 sqrt(2000² + 8640²) / sqrt(3) = 10240.3 ms.
		expect(dated(at(1, 25 * HOUR))).toEqual({ utcMs: T + 24 * HOUR, uncertaintyMs: 10_241 });
	});
});

describe("two readings", () => {
	// 48 h apart; the rig's crystal lost 5 s by them, 28.94 ppm. With w = 3 / 2000² each:
	// across = 2 w (24 h)² + 3 / (1e-4)², along = w 24 h 5 s; drift = along / across.
	const two = [sight(1, 0, T), sight(1, 48 * HOUR, T + 48 * HOUR + 5_000)];
	const { at } = dateBoots(two, spans(96 * HOUR));

	it("tell the crystal's drift, held to 0 by what is known of crystals", () => {
		// w = 7.5e-7, across = 1.119744e10 + 3e8, along = 3.24e5: drift 2.818018e-5, a little less
		// than the 2.893519e-5 of the line through both.
		const middle = T + 24 * HOUR + 2_500;
		expect(dated(at(1, 24 * HOUR)).utcMs).toBe(middle);
		expect(dated(at(1, 72 * HOUR)).utcMs).toBe(Math.round(middle + 48 * HOUR * (1 + 2.818018e-5)));
	});

	it("are no surer together than one: both are the same laptop's", () => {
		expect(dated(at(1, 24 * HOUR)).uncertaintyMs).toBe(2_310);
		// 72 h after the middle: 2 sqrt(1154.7² + (2.592e8)² / 1.149744e10) = 5357.2 ms.
		expect(dated(at(1, 96 * HOUR)).uncertaintyMs).toBe(5_358);
	});
});

describe("clocks that contradict each other", () => {
	const wrong = sight(1, 2 * HOUR, T + 24 * HOUR);

	it("two: either may be wrong, so the time given holds both, and it is said", () => {
		const { at, quarrels } = dateBoots([sight(1, HOUR, T), wrong], spans(4 * HOUR));
		const when = dated(at(1, 2 * HOUR));
		expect(Math.abs(when.utcMs - (T + HOUR))).toBeLessThan(when.uncertaintyMs);
		expect(Math.abs(when.utcMs - wrong.utcMs)).toBeLessThan(when.uncertaintyMs);
		expect(quarrels).toHaveLength(1);
		expect(quarrels[0]?.words).toContain("cannot be told which is wrong");
	});

	it("one against two: it is left out, and it is said", () => {
		const good = [sight(1, HOUR, T), sight(1, 3 * HOUR, T + 2 * HOUR)];
		const { at, quarrels } = dateBoots([...good, wrong], spans(4 * HOUR));
		const without = dateBoots(good, spans(4 * HOUR));
		expect(at(1, 3 * HOUR)).toEqual(without.at(1, 3 * HOUR));
		expect(without.quarrels).toEqual([]);
		expect(quarrels[0]?.words).toContain("2026-11-30T10:00:00.000Z");
		expect(quarrels[0]?.words).toContain("left out");
	});

	it("of two boots: the later one must not begin before the earlier one ended", () => {
		const readings = [sight(1, 0, T), sight(2, 0, T + HOUR)];
		const { quarrels } = dateBoots(readings, spans(2 * HOUR, HOUR));
		expect(quarrels).toEqual([
			{ boot: 2, words: "begins 3600 s before boot 1 ended: one clock was wrong" },
		]);
	});
});

describe("a boot that nobody dated", () => {
	it("lies between its neighbours, each hour of records counted in", () => {
		const readings = [sight(1, HOUR, T), sight(4, 0, T + 100 * HOUR)];
		const { at } = dateBoots(readings, spans(HOUR, 2 * HOUR, 3 * HOUR, HOUR));
		const bounds = at(3, HOUR);
		// Boot 2's two hours and its own first have passed, at 100 ppm fast 1.08 s less.
		expect(bounds).toEqual({
			after: T - 2_310 + 3 * HOUR - 1_080,
			before: T + 100 * HOUR + 2_310 - 2 * HOUR + 720,
		});
	});

	it("has no bound on a side where nothing is dated", () => {
		const { at } = dateBoots([sight(2, 0, T)], spans(HOUR, HOUR, HOUR));
		expect(at(1, 0)).toMatchObject({ after: null });
		expect(at(3, 0)).toMatchObject({ before: null });
		expect(dateBoots([], spans(HOUR)).at(1, 5)).toEqual({ after: null, before: null });
	});
});

describe("drawn boots", () => {
	const truth = fc.record({
		beginMs: fc.integer({ min: T, max: T + 1e9 }),
		ppm: fc.integer({ min: -50, max: 50 }),
		seen: fc.array(
			fc.record({
				monoMs: fc.integer({ min: 0, max: 200 * HOUR }),
				offShare: fc.double({ min: -1, max: 1, noNaN: true }),
				uncertaintyMs: fc.integer({ min: 200, max: 20_000 }),
			}),
			{ minLength: 1, maxLength: 6 },
		),
	});

	it("clocks within their bounds never quarrel, and the truth is no further off than 2 k u", () => {
		fc.assert(
			fc.property(truth, fc.integer({ min: 0, max: 300 * HOUR }), ({ beginMs, ppm, seen }, ms) => {
				const utc = (monoMs: number) => Math.round(beginMs + monoMs * (1 + ppm / 1e6));
				const readings = seen.map(({ monoMs, offShare, uncertaintyMs }) =>
					sight(1, monoMs, Math.trunc(utc(monoMs) + offShare * (uncertaintyMs - 1)), uncertaintyMs),
				);
				const { at, quarrels } = dateBoots(readings, spans(300 * HOUR));
				expect(quarrels).toEqual([]);
				const { utcMs, uncertaintyMs } = dated(at(1, ms));
				expect(Math.abs(utcMs - utc(ms))).toBeLessThanOrEqual(2 * uncertaintyMs);
			}),
			{ seed: SEED },
		);
	});

	it("uncertainty grows with time and is never under that of the best reading", () => {
		fc.assert(
			fc.property(truth, ({ beginMs, seen }) => {
				const readings = seen.map(({ monoMs, uncertaintyMs }) =>
					sight(1, monoMs, beginMs + monoMs, uncertaintyMs),
				);
				const { at } = dateBoots(readings, spans(300 * HOUR));
				const last = Math.max(...readings.map(({ monoMs }) => monoMs));
				const best = Math.min(...readings.map(({ uncertaintyMs }) => uncertaintyMs));
				const u = [0, 1, 10, 50].map((h) => dated(at(1, last + h * HOUR)).uncertaintyMs);
				expect([...u].sort((a, b) => a - b)).toEqual(u);
				expect(u[0]).toBeGreaterThanOrEqual((2 * best) / Math.sqrt(3) - 1);
			}),
			{ seed: SEED },
		);
	});

	it("a boot's time runs forwards", () => {
		fc.assert(
			fc.property(truth, ({ beginMs, seen }) => {
				const readings = seen.map(({ monoMs, uncertaintyMs }) =>
					sight(1, monoMs, beginMs + monoMs, uncertaintyMs),
				);
				const { at } = dateBoots(readings, spans(300 * HOUR));
				const times = [0, 1, 2, 100, 299].map((h) => dated(at(1, h * HOUR)).utcMs);
				expect([...times].sort((a, b) => a - b)).toEqual(times);
			}),
			{ seed: SEED },
		);
	});
});
