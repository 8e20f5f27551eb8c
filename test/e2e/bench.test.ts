// `lees bench` as its user runs it, from the build: the account, the JSON object, the list, the
// log file and the exit statuses.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { lees, ownScenario, workshop } from "./cli.ts";

describe("lees bench", () => {
	it("tells the story of water in the bowl in the order in which it happened", () => {
		const { status, stdout } = lees(["bench", "water-in-the-bowl"]);
		const story = [
			"Order taken: polish port, 180 L.",
			"Primed: fuel at the meter.",
			"TRIP water-in-bowl. Pump off.",
			"Bowl drained: 260 mL of water.",
			"Acknowledged at the box.",
			"Cleared: water-in-bowl.",
			"Resting.",
			"Run ended: finished.",
			"SUMMARY",
		];
		const places = story.map((piece) => stdout.indexOf(piece));
		expect(places).toEqual([...places].sort((a, b) => a - b));
		expect(places[0]).toBeGreaterThan(0);
		expect(status).toBe(0);
	});

	it("keeps within 80 columns, up to what was expected", () => {
		const { stdout } = lees(["bench", "water-in-the-bowl"]);
		const [account] = stdout.split("EXPECTED OF THIS SCENARIO");
		const widest = Math.max(...(account ?? "").split("\n").map((line) => line.length));
		expect(widest).toBeLessThanOrEqual(80);
	});

	it("prints one JSON object with the documented keys", () => {
		const { stdout } = lees(["bench", "water-under-the-tube", "--json"]);
		const result = JSON.parse(stdout);
		expect(Object.keys(result)).toEqual([
			"scenario",
			"seed",
			"board",
			"simulatedSeconds",
			"wallSeconds",
			"outcome",
			"trips",
			"logged",
			"truth",
			"expectations",
		]);
		expect(result).toMatchObject({
			scenario: "water-under-the-tube",
			seed: 5,
			board: "model",
			outcome: "tripped: water-in-bowl",
			trips: [{ code: "water-in-bowl", cause: "water reached the probe in the bowl" }],
		});
		expect(Object.keys(result.logged)).toEqual(["hours", "litres"]);
		expect(Object.keys(result.truth).sort()).toEqual([
			"dispersedWaterPastElementMl",
			"dryPumpSeconds",
			"freeWaterPastBowlMl",
			"litresReturned",
			"litresSpilled",
			"litresThroughPump",
			"motorCaseMaxC",
			"pumpOnSeconds",
			"supplyVoltsMin",
		]);
		expect(result.expectations.every((e: { held: boolean }) => e.held)).toBe(true);
	});

	it("exits 1 when an expectation does not hold, and says what was found", () => {
		const scenario = (text: string) => text.replace("outcome: finished", "outcome: stopped");
		const { status, stdout } = lees(["bench", ownScenario], workshop({ scenario }));
		expect(stdout).toContain("BROKEN  ends stopped (found: finished)");
		expect(status).toBe(1);
	});

	it("lists the scenarios with titles, as text and as JSON", () => {
		const { stdout } = lees(["bench", "--list", "--json"]);
		const rows: Array<{ name: string; title: string }> = JSON.parse(stdout);
		expect(rows.length).toBeGreaterThanOrEqual(18);
		expect(rows).toContainEqual({
			name: "dead-computer",
			title: expect.stringContaining("dead-man"),
		});
		const text = lees(["bench", "--list"]).stdout;
		for (const { title } of rows) expect(text).toContain(title);
		expect(text.trim().split("\n").length).toBe(rows.length);
	});

	it("takes another seed, and gives the same result for the same one", () => {
		const run = (seed: string) => {
			const result = JSON.parse(lees(["bench", "clean-polish", "--json", "--seed", seed]).stdout);
			return JSON.stringify({ ...result, wallSeconds: 0 });
		};
		expect(run("8")).toBe(run("8"));
		expect(JSON.parse(run("8")).seed).toBe(8);
	});

	it("writes the records it would log, one JSON object a line", () => {
		const folder = workshop({});
		lees(["bench", ownScenario, "--log", "run.jsonl"], folder);
		const lines = readFileSync(join(folder, "run.jsonl"), "utf8").trim().split("\n");
		const kinds = lines.map((line) => JSON.parse(line).kind);
		expect(kinds[0]).toBe("boot");
		expect(kinds).toContain("run-end");
	});

	it("draws the run into a new file, and never over one that is there", () => {
		const folder = workshop({});
		const play = () => lees(["bench", ownScenario, "--plot", "run.svg"], folder);
		expect(play().status).toBe(0);
		const svg = readFileSync(join(folder, "run.svg"), "utf8");
		expect(svg).toContain("Vacuum at the pump's inlet");
		const again = play();
		expect(again.status).toBe(2);
		expect(again.stderr).toContain("a file that is there already");
		expect(readFileSync(join(folder, "run.svg"), "utf8")).toBe(svg);
	});

	it("answers --help with the caution, and exits 0", () => {
		const { status, stdout } = lees(["--help"]);
		expect(stdout).toContain("must never touch petrol");
		expect(status).toBe(0);
	});
});
