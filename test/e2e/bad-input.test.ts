// Bad input as a person gives it: a clear error with file, line and column, what was found and
// what is allowed, exit 2, no stack trace, and nothing half done.

import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { lees, ownScenario, workshop } from "./cli.ts";

const swap = (was: string, is: string) => (text: string) => {
	if (!text.includes(was)) throw new Error(`the example no longer has: ${was}`);
	return text.replace(was, is);
};

interface Case {
	readonly what: string;
	readonly rig?: (text: string) => string;
	readonly scenario?: (text: string) => string;
	/** Pieces of the message, in order. */
	readonly says: readonly string[];
}

const cases: Case[] = [
	{
		what: "an unknown key",
		rig: swap("rig: Teal", "colour: red\nrig: Teal"),
		says: ["teal-willow.rig.yaml:3:1", "colour: found an unknown key", "allowed: ", "tanks"],
	},
	{
		what: "a key with another unit",
		rig: swap("volumeLitres: 310, depthMm", "volumeGallons: 82, depthMm"),
		says: [
			"teal-willow.rig.yaml:10:19",
			"tanks[0].volumeGallons",
			"volumeLitres (did you mean that?)",
		],
	},
	{
		what: "a value with its unit written out",
		rig: swap("volumeLitres: 310, depthMm", "volumeLitres: 82 gal, depthMm"),
		says: [":10:19", "tanks[0].volumeLitres", 'found "82 gal"', "a number, without its unit"],
	},
	{
		what: "a bore in metres",
		rig: swap("tube: { lengthMm: 1150, boreMm: 8,", "tube: { lengthMm: 1150, boreMm: 0.008,"),
		says: [":14:25", "tube.boreMm", "found 0.008", "at least 3"],
	},
	{
		what: "a negative volume",
		rig: swap("volumeLitres: 90", "volumeLitres: -90"),
		says: [":12:18", "tanks[2].volumeLitres", "found -90", "at least 5"],
	},
	{
		what: "no tanks",
		rig: (text) => text.replace(/tanks:\n( {2}- .*\n)+/, ""),
		says: ["teal-willow.rig.yaml:3:1", "tanks: found nothing", "a list"],
	},
	{
		what: "an empty list of tanks",
		rig: (text) => text.replace(/tanks:\n( {2}- .*\n)+/, "tanks: []\n"),
		says: ["tanks: found []", "a list whose length is at least 1"],
	},
	{
		what: "two tanks of one name",
		rig: swap("name: starboard", "name: port"),
		says: [":11:7", "tanks[1].name", 'found "port"', "a name no other tank has"],
	},
	{
		what: "a pump kind that there is not",
		rig: swap("kind: vane", "kind: magic"),
		says: ["pump.kind", 'found "magic"', "diaphragm, vane, gear, solenoid-pulse"],
	},
	{
		what: "a bowl smaller than what it must hold",
		rig: swap("volumeMl: 950", "volumeMl: 500"),
		says: ["bowl.volumeMl", "found 500", "at least sumpToProbeMl + probeToCarryoverMl = 540"],
	},
	{
		what: "a setpoint out of its range",
		rig: swap("setpoints: {}", "setpoints: { waterDelayMs: 5000 }"),
		says: ["setpoints.waterDelayMs", "found 5000", "at most 400"],
	},
	{
		what: "setpoints that contradict each other",
		rig: swap("setpoints: {}", "setpoints: { dryFlowLph: 40 }"),
		says: ["setpoints.dryFlowLph", "found 40", "below primedFlowLph = 35"],
	},
	{
		what: "a horn too short to take the hands away",
		rig: swap("setpoints: {}", "setpoints: { hornMs: 1000 }"),
		says: ["setpoints.hornMs", "found 1000", "at least 10000"],
	},
	{
		what: "broken YAML",
		rig: swap("rig: Teal", "rig: [Teal"),
		says: ["teal-willow.rig.yaml:", "broken YAML"],
	},
	{
		what: "a key twice",
		rig: swap("invented: true", "invented: true\ninvented: true"),
		says: ["teal-willow.rig.yaml:5:1", "broken YAML", "each key once"],
	},
	{
		what: "an empty rig file",
		rig: () => "",
		says: ["teal-willow.rig.yaml:1:1", "found nothing", "a mapping"],
	},
	{
		what: "a scenario whose rig is not there",
		scenario: swap("teal-willow.rig.yaml", "other.rig.yaml"),
		says: ["rigs/other.rig.yaml", "no such file"],
	},
	{
		what: "a scenario without a seed",
		scenario: swap("seed: 4\n", ""),
		says: ["own.bench.yaml:1:1", "seed: found nothing", "a number"],
	},
	{
		what: "a tube in a tank that is not filled",
		scenario: swap("tube: port", "tube: cellar"),
		says: ["own.bench.yaml:", "start.tube", 'found "cellar"', "a tank that start.tanks fills"],
	},
	{
		what: "a tank that the rig does not have",
		scenario: swap("port: { fuelLitres", "attic: { fuelLitres"),
		says: ["start.tanks.attic", "one of port, starboard, day"],
	},
	{
		what: "more fuel than the tank holds",
		scenario: swap("fuelLitres: 180", "fuelLitres: 400"),
		says: ["start.tanks.port", "no more than the tank's 310 L"],
	},
	{
		what: "an order with two goals",
		scenario: swap("litres: 0.75,", "litres: 0.75, turnovers: 1,"),
		says: ["orders[0].polish", "one of turnovers, litres, hours or targetDilution"],
	},
	{
		what: "an action without a time",
		scenario: swap("atSeconds: 5, ", ""),
		says: ["orders[0]", "exactly one of atSeconds, uponTrip, uponState"],
	},
	{
		what: "an expectation that lacks its number",
		scenario: swap("outcome: finished", "{ trip: dry-run, after: tube-lifted }"),
		says: ["own.bench.yaml:25:5", "expect[0].withinSeconds", "found nothing", "a number"],
	},
	{
		what: "an expectation that there is not",
		scenario: swap("outcome: finished", "weather: fine"),
		says: ["own.bench.yaml:25:5", "expect[0]", 'found {"weather":"fine"}', "{outcome} {trips}"],
	},
];

describe("is refused with its place and what is allowed", () => {
	it.each(cases)("$what", ({ rig, scenario, says }) => {
		const folder = workshop({ ...(rig ? { rig } : {}), ...(scenario ? { scenario } : {}) });
		const { status, stdout, stderr } = lees(["bench", ownScenario], folder);
		let from = 0;
		for (const piece of says) {
			const at = stderr.indexOf(piece, from);
			expect(at, `"${piece}" in:\n${stderr}`).toBeGreaterThanOrEqual(0);
			from = at;
		}
		expect(stderr).not.toMatch(/\n\s+at /);
		expect(stdout).toBe("");
		expect(status).toBe(2);
	});

	it("the unchanged example is not", () => {
		const { status, stderr } = lees(["bench", ownScenario], workshop({}));
		expect({ status, stderr }).toEqual({ status: 0, stderr: "" });
	});

	it("names every fault of a file at once", () => {
		const rig = (text: string) =>
			text.replace("volumeLitres: 90", "volumeLitres: -1").replace("vane", "x");
		const { stderr } = lees(["bench", ownScenario], workshop({ rig }));
		expect(stderr.trim().split("\n").length).toBe(2);
	});
});

describe("a path or word that leads nowhere", () => {
	const folder = workshop({});
	mkdirSync(join(folder, "folder.bench.yaml"));
	writeFileSync(join(folder, "binary.bench.yaml"), Buffer.from([0xff, 0xfe, 0x00, 0xc3]));
	writeFileSync(join(folder, "large.bench.yaml"), `# ${"x".repeat(1_100_000)}`);

	// Looked at before any port is opened.
	const polish = ["order", "polish", "no-port", "--tank", "port"];

	it.each<[string, string[], string]>([
		["a missing file", ["bench", "absent.bench.yaml"], "absent.bench.yaml  found no such file"],
		["a directory", ["bench", "folder.bench.yaml"], "folder.bench.yaml  found a directory"],
		["a file in a file", ["bench", `${ownScenario}/x.yaml`], "found no such folder on the way"],
		["bytes that are no text", ["bench", "binary.bench.yaml"], "bytes that are not UTF-8"],
		["a file too large", ["bench", "large.bench.yaml"], "at most 1000000 bytes"],
		["a name that there is not", ["bench", "no-such"], "no scenario of that name; allowed: a path"],
		["no scenario", ["bench"], "found no scenario"],
		["a seed that is no number", ["bench", ownScenario, "--seed", "many"], "a whole number"],
		["an unknown option", ["bench", "--fast"], "unknown option '--fast'"],
		["an unknown command", ["fly"], "unknown command 'fly'"],
		["two goals", [...polish, "--litres", "5", "--hours", "1"], "one of turnovers, litres, hours"],
		["no goal", polish, "one of turnovers, litres, hours or targetDilution"],
		[
			"a plan's window without its time",
			[...polish, "--litres", "5", "--window-hours", "2"],
			"lees order polish  --window-hours: found 2; allowed: only together with --at",
		],
		[
			"a time that no calendar has",
			[...polish, "--litres", "5", "--at", "2026-02-30T10:00"],
			"a time that the calendar has",
		],
		[
			"a clock that is off by less than nothing",
			["clock", "p", "--uncertainty-seconds", "-3"],
			"0 to 86400 seconds",
		],
		[
			"a stand too short",
			["order", "sweep", "p", "--tank", "x", "--stand-seconds", "5"],
			"--stand-seconds: found 5; allowed: at least 20",
		],
		[
			"a rig file where its controller's link is wanted",
			["commission", "rigs/teal-willow.rig.yaml", "--list"],
			"the link of its controller, or --print with it",
		],
		[
			"a step that there is not",
			["commission", "no-port", "--step", "lampz"],
			'--step: found "lampz"; allowed: lamps (did you mean that?)',
		],
		[
			"two things asked of commissioning at once",
			["commission", "no-port", "--list", "--print", "sheet.pdf"],
			"found --list and --print; allowed: one of them",
		],
		[
			"a sheet of a kind that cannot be printed",
			["commission", "--print", "sheet.txt"],
			"a new file that ends in .pdf or .html",
		],
		[
			"a sheet where there is no folder",
			["commission", "--print", "no/such/sheet.html"],
			"no/such/sheet.html  found no such folder; allowed: a new file in a folder that is there",
		],
		[
			"initials as long as a name",
			["commission", "no-port", "--changed", "probe", "--by", "Somebody Else"],
			"--by: found 13 characters; allowed: 1 to 12",
		],
		["a controller that is not there", ["commission", "no-port", "--list"], "found no such port"],
		[
			"a plugin that is not installed",
			["control", "rigs/teal-willow.rig.yaml", "--board", "plugin:no-such", "--log", "plug.log"],
			"plugin no-such  found no such module",
		],
		[
			"a log where none can be written",
			["bench", ownScenario, "--log", "no/such/log"],
			"no/such/log",
		],
	])("%s", (_, args, says) => {
		const { status, stderr } = lees(args, folder);
		expect(stderr).toContain(says);
		expect(stderr).not.toMatch(/\n\s+at /);
		expect(status).toBe(2);
	});

	it("ends a controller whose socket cannot be, although it looks for its board", () => {
		const folder = workshop({});
		const board = join(folder, "no-board");
		const socket = join(folder, "no-folder", "socket");
		const rig = "rigs/teal-willow.rig.yaml";
		const args = ["--board", `firmata:${board}`, "--log", join(folder, "log"), "--socket", socket];
		const { status, stderr } = lees(["control", rig, ...args], folder, {}, 30_000);
		expect(status).toBe(2);
		expect(stderr).toContain(socket);
	});

	it("leaves a log that is there as it was when the scenario is bad", () => {
		const log = join(folder, "kept.log");
		writeFileSync(log, "kept");
		lees(["bench", "absent.bench.yaml", "--log", log], folder);
		expect(readFileSync(log, "utf8")).toBe("kept");
		expect(existsSync(join(folder, "absent.bench.yaml"))).toBe(false);
	});
});
