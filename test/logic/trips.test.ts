// The trip catalogue as the safety analysis wants it: where each trip may be acknowledged, whether
// the order goes on, and what must be gone before. The words are only asked to be there.

import { describe, expect, it } from "vitest";
import type { Present } from "../../firmware/cycle/events.ts";
import { type TripCode, tripCodes, trips } from "../../firmware/cycle/trips.ts";
import type { FindingName } from "../../firmware/sense/finding-names.ts";
import { wellPresent as present } from "../stories/well.ts";

const still = (code: TripCode, change: Partial<Present>, drainSeen = false) =>
	trips[code].stillThere({ ...present, ...change }, drainSeen);

const codesWhere = (test: (row: (typeof trips)[TripCode]) => boolean) =>
	tripCodes.filter((code) => test(trips[code])).sort();

describe("the catalogue", () => {
	it("is in order of severity, the worst first, all of 1 to 9", () => {
		const severities = tripCodes.map((code) => trips[code].severity);
		expect(severities).toEqual([...severities].sort((a, b) => b - a));
		expect(severities.every((n) => Number.isInteger(n) && n >= 1 && n <= 9)).toBe(true);
		expect([...tripCodes].sort()).toEqual(Object.keys(trips).sort());
		expect(tripCodes[0]).toBe("relay-stuck");
		expect(tripCodes.at(-1)).toBe("time-limit");
	});

	it.each(tripCodes)("%s says what happened and what to do", (code) => {
		const { cause, toDo } = trips[code];
		expect(cause).toMatch(/^\w+.* \w+/);
		expect(toDo).toMatch(/^\w+.* \w+/);
		expect(toDo).not.toBe(cause);
	});
});

describe("where the work can hurt, what to do names", () => {
	it.each<[TripCode, string[]]>([
		["water-in-bowl", ["isolator off and locked", "drain", "refill", "no flame", "gloves"]],
		["leak", ["isolator off", "no flame", "bilge pump off", "dry the tray"]],
		["beat-forged", ["open the isolator now", "replace a board"]],
		["relay-stuck", ["open the isolator now"]],
		["overcurrent", ["isolator off and locked"]],
		["restriction-high", ["isolator off and locked"]],
		["discharge-blocked", ["isolator off", "let the pressure off into a can"]],
		["flow-when-stopped", ["shut the valves now"]],
		["supply-high", ["stay away"]],
	])("%s: %j", (code, cautions) => {
		for (const words of cautions) expect(trips[code].toDo).toContain(words);
	});
});

describe("acknowledged over the link may be only", () => {
	it("what hurts nobody who is not there", () => {
		expect(codesWhere(({ acknowledgeAt }) => acknowledgeAt === "anywhere")).toEqual(ANYWHERE);
		expect(codesWhere(({ acknowledgeAt }) => acknowledgeAt === "box")).toEqual(
			[...tripCodes].filter((code) => !ANYWHERE.includes(code)).sort(),
		);
	});
});

const ANYWHERE: TripCode[] = ["destination-full", "supply-low", "time-limit"];

describe("after the acknowledgement", () => {
	it("the order goes on where the cause is mended, and ends where a person must look", () => {
		expect(codesWhere(({ afterwards }) => afterwards === "go on")).toEqual([
			"board-lost",
			"discharge-blocked",
			"dry-run",
			"motor-hot",
			"no-current",
			"prime-failed",
			"restriction-high",
			"sensor-fault",
			"suction-blocked",
			"supply-high",
			"supply-low",
			"tank-vent-blocked",
			"water-in-bowl",
		]);
		expect(codesWhere(({ afterwards }) => afterwards === "end the order")).toEqual([
			"beat-forged",
			"destination-full",
			"flow-when-stopped",
			"interrupted",
			"leak",
			"log-failed",
			"overcurrent",
			"relay-stuck",
			"return-out",
			"source-low",
			"stop-button",
			"time-limit",
			"too-cold",
			"tube-out",
			"volume-imbalance",
			"wrong-tank",
		]);
	});
});

describe("sensors", () => {
	it.each<[TripCode, string[]]>([
		["relay-stuck", ["motor-current"]],
		["beat-forged", ["beat-mode"]],
		["leak", ["tray"]],
		["return-out", ["return-seat"]],
		["wrong-tank", ["level-from", "level-to"]],
		["destination-full", ["level-to"]],
		["volume-imbalance", ["level-from", "level-to", "flow-pulse"]],
		["flow-when-stopped", ["flow-pulse"]],
		["stop-button", ["stop-loop"]],
		["water-in-bowl", ["bowl-probe"]],
		["overcurrent", ["motor-current"]],
		["motor-hot", ["case-temperature"]],
		["discharge-blocked", ["pressure-switch"]],
		["tank-vent-blocked", ["vacuum", "level-from"]],
		["tube-out", ["tube-seat"]],
		["board-lost", ["board"]],
		["supply-high", ["supply-volts"]],
		["supply-low", ["supply-volts"]],
		["no-current", ["motor-current"]],
		["too-cold", ["fuel-temperature"]],
		["suction-blocked", ["vacuum"]],
		["restriction-high", ["vacuum"]],
		["dry-run", ["flow-pulse"]],
		["source-low", ["level-from"]],
		["prime-failed", ["flow-pulse"]],
	])("%s cannot be found without %j", (code, sensors) => {
		expect(trips[code].sensors).toEqual(sensors);
	});

	it("are not named where the trip needs none or any of them", () => {
		expect(codesWhere(({ sensors }) => sensors.length === 0)).toEqual([
			"interrupted",
			"log-failed",
			"sensor-fault",
			"time-limit",
		]);
	});
});

describe("still there", () => {
	const findings: Array<[TripCode, FindingName]> = [
		["relay-stuck", "stray"],
		["beat-forged", "beatForged"],
		["leak", "leak"],
		["return-out", "returnOut"],
		["wrong-tank", "levelsDiffer"],
		["flow-when-stopped", "siphon"],
		["motor-hot", "motorHot"],
		["discharge-blocked", "dischargeBlocked"],
		["tube-out", "tubeOut"],
		["supply-high", "supplyHigh"],
		["supply-low", "supplyLow"],
		["too-cold", "cold"],
	];

	it.each(findings)("%s is, as long as %s is found", (code, finding) => {
		expect(still(code, { seen: ["boardLost", finding] })).toMatch(/^\w+.* \w+/);
		expect(still(code, { seen: ["boardLost"] })).toBeNull();
		expect(still(code, {})).toBeNull();
	});

	it("are all others not, once they have stopped the pump", () => {
		const known = [...findings.map(([code]) => code), ...OTHER_RULES];
		const gone = tripCodes.filter((code) => !known.includes(code));
		const worst: Partial<Present> = {
			stop: "broken",
			probe: "wet",
			unknown: ["board stale"],
			unknownOptional: ["tray open"],
			seen: findings.map(([, finding]) => finding),
			logFailed: true,
		};
		for (const code of gone) expect(still(code, worst), code).toBeNull();
		expect(gone).toHaveLength(12);
	});

	it.each<[string, TripCode, Partial<Present>, boolean, string | null]>([
		["a pressed stop", "stop-button", { stop: "broken" }, false, "the stop button is not released"],
		["a silent stop", "stop-button", { stop: "open" }, false, "the stop button is not released"],
		["a released stop", "stop-button", {}, false, null],
		["a wet probe", "water-in-bowl", { probe: "wet" }, true, "the probe reads wet: drain the bowl"],
		[
			"a cut probe",
			"water-in-bowl",
			{ probe: "open" },
			true,
			"the probe reads open: drain the bowl",
		],
		[
			"a bowl not drained",
			"water-in-bowl",
			{},
			false,
			"not seen to dry: wet the probe, then let it dry",
		],
		["a bowl drained", "water-in-bowl", {}, true, null],
		[
			"a silent board",
			"board-lost",
			{ unknown: ["tray open", "board stale"] },
			false,
			"the board does not answer",
		],
		["a board that is back", "board-lost", { unknown: ["boarding stale"] }, false, null],
		["a failed log", "log-failed", { logFailed: true }, false, "the log still fails"],
		["a log that works", "log-failed", {}, false, null],
		["no silent sensor", "sensor-fault", {}, false, null],
		["one", "sensor-fault", { unknown: ["stop-loop open"] }, false, "unknown: stop-loop open"],
		[
			"two",
			"sensor-fault",
			{ unknown: ["a open"], unknownOptional: ["b open"] },
			false,
			"unknown: a open, b open",
		],
		[
			"an optional one, attended",
			"sensor-fault",
			{ unknownOptional: ["b open"], attended: true },
			false,
			null,
		],
		[
			"one beside an optional one, attended",
			"sensor-fault",
			{ unknown: ["a open"], unknownOptional: ["b open"], attended: true },
			false,
			"unknown: a open",
		],
	])("%s", (_, code, change, drainSeen, words) => {
		expect(still(code, change, drainSeen)).toBe(words);
	});
});

const OTHER_RULES: TripCode[] = [
	"stop-button",
	"water-in-bowl",
	"board-lost",
	"log-failed",
	"sensor-fault",
];
