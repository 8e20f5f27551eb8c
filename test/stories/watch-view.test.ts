// The live view as lines: what a person must see is there in words, in 80 columns and 24 lines and
// in less, with and without colour, and nothing that came over the line moves the cursor.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { stripVTControlCharacters } from "node:util";
import { describe, expect, it } from "vitest";
import { trips } from "../../firmware/cycle/trips.ts";
import type { Senses, Status } from "../../firmware/link/protocol.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { type Scene, watchLines, watchWords } from "../../host/report/watch-view.ts";
import { IDLE } from "./idle-status.ts";
import { polishing, root } from "./world.ts";

const NOW_MS = 1_000_000;
const SCREEN = { width: 80, height: 24, colour: false };

const PUMPING: Partial<Status> = {
	state: "polishing",
	pumpDemanded: true,
	order: {
		...{ id: "a", work: "polish", tank: "port", toTank: null },
		...{ goalLitres: 180, goalHours: null, goalShare: null },
	},
	run: { motorMs: 1_800_000, pulses: 45 * 420 },
};
const TRIPPED: Partial<Status> = {
	state: "tripped",
	trips: [{ code: "water-in-bowl", cause: "water reached the probe in the bowl" }],
};
const sample: LogRecord = {
	...{ seq: 9, boot: 3, monoMs: 723_000, kind: "sample", fuelC: "not-fitted" },
	...{ flowLph: 90.7, vacuumKpa: 14.5, supplyVolts: 12.61, motorAmps: 1.84 },
	run: { motorMs: 1, pulses: 1 },
};
const toPolishing: LogRecord = {
	...{ seq: 8, boot: 3, monoMs: 124_000, kind: "state" },
	...{ from: "priming", to: "polishing", why: "flow-established" },
};

function scene(status: Partial<Status> = {}, more: Partial<Scene> = {}): Scene {
	const base = { port: "/dev/ttyACM0", rig: "teal-willow", boot: 3, lostAtMs: null };
	const whole = { ...IDLE, ...status };
	const none = { senses: null, sensesAtMs: 0, records: [] };
	return { ...base, status: whole, statusAtMs: NOW_MS, ...none, ...more };
}
const show = (of: Scene, screen = SCREEN, nowMs = NOW_MS) => watchLines(of, nowMs, screen);
const text = (of: Scene, nowMs = NOW_MS) => show(of, SCREEN, nowMs).join("\n");

describe("at work", () => {
	const work = scene(PUMPING, { records: [toPolishing, sample] });

	it("says state, since when, pump, goal and readings in words", () => {
		const shown = text(work);
		expect(shown).toContain("POLISHING for 0:10:00, since 0:02:04 after boot");
		expect(shown).toMatch(/^Pump +ON$/m);
		expect(shown).toContain("polish port, 180 L");
		expect(shown).toContain("45.00 L in 0.500 h of pumping");
		expect(shown).toContain(`[${"#".repeat(7)}${"-".repeat(23)}] 25 %`);
		expect(shown).toContain("flow 90.7 L/h  vacuum 14.5 kPa  12.61 V  1.84 A  fuel not-fitted");
		expect(shown).toMatch(/^ +1 s old$/m);
		expect(shown).toContain("Diesel burns.");
	});

	it("lets the time go on between two answers", () => {
		expect(text(work, NOW_MS + 2_000)).toContain("POLISHING for 0:10:02");
	});

	it("says nothing of a beginning that it has not seen", () => {
		expect(text(scene({ ...PUMPING, state: "resting" }, { records: [toPolishing] }))).toMatch(
			/^State +RESTING: the pump cools/m,
		);
	});

	it("does not run over its bar, and has none without litres or hours", () => {
		expect(text(scene({ ...PUMPING, run: { motorMs: 0, pulses: 420_000 } }))).toContain("] 100 %");
		const { order } = PUMPING;
		const level = order && { ...order, goalLitres: null, goalShare: 0.9 };
		const shown = text(scene({ ...PUMPING, ...(level && { order: level }) }));
		expect(shown).toContain("to 90 % of the tank");
		expect(shown).not.toContain("[#");
	});
});

describe("at rest", () => {
	const senses: Senses = {
		...{ monoMs: 724_000, commissioned: false, blocked: [] },
		sensed: {
			...{ flowLph: 0, vacuumKpa: 9.1, bowlTapKpa: "not-fitted", supplyVolts: 12.61, motorAmps: 0 },
			...{ fuelC: 15.04, caseC: "not-fitted", levelFrom: 0.604, levelTo: 0.61, probe: "dry" },
			...{ tray: "made", stop: "made", returnSeat: "made", tubeSeat: "made" },
		},
	};
	const change = (sensed: Partial<NonNullable<Senses["sensed"]>>): Senses => ({
		...senses,
		sensed: senses.sensed && { ...senses.sensed, ...sensed },
	});
	const rest = (of: Senses | null, status: Partial<Status> = {}, nowMs = NOW_MS) =>
		text(scene(status, { senses: of, sensesAtMs: NOW_MS }), nowMs);

	it("says supply, fuel, probe and levels although no sample has come", () => {
		const shown = rest(senses);
		expect(shown).toMatch(/^At rest +12\.61 V {2}fuel 15\.0 °C {2}water probe dry$/m);
		expect(shown).toMatch(/^ +tank under the tube 60 %, under the return 61 %$/m);
		expect(shown).toContain("Readings none in this boot");
	});

	it("says why there is no number, leaves out levels that are not fitted, tells its age", () => {
		const shown = rest(change({ supplyVolts: "stale", probe: "unlike", levelTo: "not-fitted" }));
		expect(shown).toMatch(/^At rest +stale {2}fuel 15\.0 °C {2}water probe unlike$/m);
		expect(shown).toMatch(/^ +tank under the tube 60 %$/m);
		expect(rest(change({ levelFrom: "not-fitted", levelTo: "not-fitted" }))).not.toContain(
			"tank u",
		);
		expect(rest(change({ levelFrom: "open" }))).toContain("under the tube open");
		expect(rest(senses, {}, NOW_MS + 9_000)).toContain("probe dry  9 s old");
	});

	it("gives way to the samples while it pumps, and to nothing where nothing is told", () => {
		expect(rest(senses, PUMPING)).not.toContain("At rest");
		expect(rest(null)).not.toContain("At rest");
		expect(rest({ ...senses, sensed: null })).not.toContain("At rest");
	});

	it("says of each trip why it cannot be acknowledged yet", () => {
		const why = "the probe reads wet: drain the bowl";
		const wet = { ...senses, blocked: [{ code: "water-in-bowl", why }] };
		const lines = show(scene(TRIPPED, { senses: wet, sensesAtMs: NOW_MS }));
		const at = lines.findIndex((line) => line.includes("Then acknowledge at the box."));
		expect(lines[at + 1]).toBe(`         Not yet: ${why}.`);
		expect(rest(senses, TRIPPED)).not.toContain("Not yet");
	});

	it("says it of a trip that is not among those shown, by its name", () => {
		const blocked = [{ code: "supply-low", why: "the voltage is still too low" }];
		expect(rest({ ...senses, blocked }, TRIPPED)).toContain(
			"Not yet: supply-low: the voltage is still too low.",
		);
	});

	it("obeys nothing that a reason says", () => {
		const blocked = [{ code: "leak", why: "\u001b[2Jwet" }];
		const shown = rest({ ...change({ probe: "\u001b[2J" }), blocked }, TRIPPED);
		expect(shown).not.toContain("\u001b");
		expect(shown).toContain("?[2Jwet");
	});
});

describe("the guide", () => {
	it("shows the view as it is", () => {
		const head = { boot: 3, monoMs: 101_000 };
		const order = {
			...{ id: "a", work: "polish" as const, tank: "port", toTank: null, goalLitres: 180 },
			...{ goalHours: null, goalShare: null, turnoverLitres: 180, dilution: null, sweep: null },
			attended: true,
		};
		const records: LogRecord[] = [
			{ ...head, seq: 4, kind: "order", order },
			{ ...head, seq: 6, kind: "start", reason: "ordered" },
			{ ...head, seq: 7, monoMs: 124_000, kind: "prime", primeTry: 1, result: "fuel" },
			toPolishing,
			sample,
		];
		const shown = text(scene(PUMPING, { records }));
		expect(readFileSync(join(root, "README.md"), "utf8")).toContain(`\`\`\`\n${shown}\n\`\`\``);
	});
});

describe("what is wrong", () => {
	it("a trip: its cause, what to do, and where it is acknowledged", () => {
		const shown = text(scene(TRIPPED)).replaceAll(/\s+/g, " ");
		expect(shown).toContain("TRIP water-in-bowl: water reached the probe in the bowl");
		expect(shown).toContain("Do: isolator off and locked, suction valve shut");
		expect(shown).toContain("Then acknowledge at the box.");
		const { cause } = trips.interrupted;
		const cut = scene({ ...TRIPPED, trips: [{ code: "interrupted", cause: cause.slice(0, 60) }] });
		expect(text(cut).replaceAll(/\s+/g, " ")).toContain(`TRIP interrupted: ${cause} Do: `);
		expect(watchWords(cut)).toContain(cause);
		const low = [{ code: "supply-low", cause: "10.4 V" }];
		expect(text(scene({ trips: low })).replaceAll(/\s+/g, " ")).toContain(
			"acknowledge at the box or over the link",
		);
	});

	it("a trip that a newer controller knows is shown by what it says itself", () => {
		const shown = text(scene({ trips: [{ code: "new-one", cause: "something new" }] }));
		expect(shown).toContain("TRIP     new-one: something new");
		expect(text(scene({ trips: [{ code: "constructor", cause: "x" }] }))).toContain("constructor");
	});

	it("a lost line: for how long, how old all of it is, and that the pump is unknown", () => {
		const lost = scene(PUMPING, { lostAtMs: NOW_MS + 1_000, records: [sample] });
		const shown = text(lost, NOW_MS + 12_500);
		expect(shown).toContain("LOST 11 s ago; looking for it; what is shown is 12 s old");
		expect(shown).toContain("was ON when last heard, 12 s ago; now unknown");
		expect(shown).toMatch(/^ +13 s old$/m);
	});

	it("an answer that does not come, before the line counts as lost", () => {
		expect(text(scene(PUMPING), NOW_MS + 4_000)).toContain("no answer; what is shown is 4 s old");
	});

	it("a log that has failed, a hold, a plan that waits", () => {
		expect(text(scene({ logFailed: true }))).toContain("Log      FAILED after record 1234");
		expect(text(scene({ heldFor: ["cold"], state: "held" }))).toContain(
			"Held for the fuel is too cold",
		);
		const waits = { id: "sunday", why: "the plan is not armed" };
		const shown = text(scene({ waits, planned: ["sunday"], armed: { tank: "port" } }));
		expect(shown).toContain("yes, for port   Plans: sunday");
		expect(shown).toContain("sunday is due and waits: the plan is not armed");
	});
});

describe("the screen", () => {
	const records = polishing().records;
	const busy = scene({ ...PUMPING, ...TRIPPED, heldFor: ["cold"] }, { records });

	it.each([
		[80, 24],
		[132, 50],
		[40, 24],
		[79, 10],
		[20, 6],
		[1, 1],
	])("is never wider or higher than %i by %i", (width, height) => {
		const lines = show(busy, { width, height, colour: false });
		expect(lines.length).toBeLessThanOrEqual(height);
		for (const line of lines) expect(line.length).toBeLessThanOrEqual(width);
	});

	it("fills 24 lines, the caution last, with what happened above it", () => {
		const lines = show(scene(PUMPING, { records }));
		expect(lines.length).toBe(24);
		expect(lines.at(-1)).toContain("q or Ctrl-C");
		expect(lines.join("\n")).toContain("Order taken: polish port");
	});

	it("of few lines keeps state, pump and trip, and the caution", () => {
		const shown = show(busy, { width: 80, height: 8, colour: false }).join("\n");
		expect(shown).toContain("TRIPPED");
		expect(shown).toContain("Pump ");
		expect(shown).toContain("TRIP     water-in-bowl");
		expect(shown).toContain("Diesel burns.");
	});

	it("says the same without colour, and in colour no more than in words", () => {
		const coloured = show(busy, { ...SCREEN, colour: true });
		expect(coloured.join("")).toContain("\u001b[31m");
		const bare = coloured.map((line) => stripVTControlCharacters(line));
		expect(bare).toEqual(show(busy));
	});

	it("obeys nothing that a rig or a cause says", () => {
		const trips = [{ code: "leak", cause: "\u001b[2J\u0007\u202ewet\n" }];
		const lines = show(scene({ trips }, { rig: "a\u001b]0;b\u0007" }));
		for (const line of lines) expect(line).not.toMatch(/[\p{Cc}\p{Cf}]/u);
		expect(lines.join("\n")).toContain("?[2J??wet?");
	});

	it("counts wide characters as two columns", () => {
		const lines = show(scene({}, { rig: "漢字".repeat(30) }), { ...SCREEN, width: 40 });
		const columns = [...(lines[0] ?? "")].reduce(
			(sum, one) => sum + ((one.codePointAt(0) ?? 0) >= 0x1100 ? 2 : 1),
			0,
		);
		expect(columns).toBeLessThanOrEqual(40);
	});
});

describe("a line for a pipe", () => {
	it("changes with state, pump, trips, holds, log and line, and with nothing else", () => {
		const words = watchWords(scene(PUMPING));
		expect(words).toBe("polishing, pump ON, order polish port");
		expect(watchWords(scene({ ...PUMPING, monoMs: 1, durableSeq: 9 }))).toBe(words);
		expect(watchWords(scene(TRIPPED))).toContain("pump OFF, TRIP water-in-bowl: water reached");
		expect(watchWords(scene({ logFailed: true }))).toBe("idle, pump OFF, LOG FAILED");
		expect(watchWords(scene(PUMPING, { lostAtMs: 1 }))).toBe("link lost");
	});
});
