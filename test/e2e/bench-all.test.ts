// `lees bench all` as its user runs it, from the build: the table, the JSON object, what a changed
// setpoint does, the exit statuses, and two emulated boards at once.

import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { describe, expect, it } from "vitest";
import { playAll } from "../../host/cli/library-play.ts";
import { loadScenario, shippedScenarios } from "../../sim/bench/load.ts";
import { pins, root } from "../stories/world.ts";
import { lees } from "./cli.ts";

const loaded = shippedScenarios(root).map(loadScenario);
const names = loaded.map(({ name }) => name);
const WAIT_MS = 240_000;

interface Shown {
	readonly status: number | null;
	readonly stdout: string;
	readonly stderr: string;
}

function timed(...args: string[]): Shown {
	const began = Date.now();
	const ended = lees(["bench", "all", ...args]);
	const seconds = ((Date.now() - began) / 1000).toFixed(1);
	console.log(`lees bench all ${args.join(" ")}: ${seconds} s`);
	return ended;
}

const widest = (text: string) => Math.max(...text.split("\n").map((line) => line.length));

describe("lees bench all", () => {
	it(
		"tells each scenario with its seed, how it ended, hours, litres, time and verdict",
		() => {
			const { status, stdout, stderr } = timed();
			expect(stderr).toBe("");
			expect(stdout).toContain(`Bench, ${names.length} scenarios, each with its own seed\n`);
			const rows = stdout.split("\n").filter((line) => / {2}held \d+ of \d+$/.test(line));
			expect(rows.map((line) => line.split(" ")[0])).toEqual(names);
			expect(stdout).toMatch(
				/\nwater-in-the-bowl +2\.00\d +180\.0 +179\.\d +3:00:\d\d {2}held \d of \d\n {4}seed 11, finished; trip: water-in-bowl\n/,
			);
			expect(stdout).toMatch(/\nAll \d+ expectations held\.\n$/);
			expect(widest(stdout)).toBeLessThanOrEqual(80);
			expect(status).toBe(0);
		},
		WAIT_MS,
	);

	it(
		"prints one JSON object, its scenarios by name, each as it is told alone",
		() => {
			const { status, stdout } = timed("--json");
			const found = JSON.parse(stdout);
			expect(Object.keys(found)).toEqual([
				...["board", "seed", "expectations", "simulatedSeconds", "wallSeconds"],
				...["scenarios", "leftOut"],
			]);
			expect(found).toMatchObject({ board: "model", seed: null, leftOut: [] });
			expect(found.expectations.held).toBe(found.expectations.of);
			expect(found.scenarios.map(({ scenario }: { scenario: string }) => scenario)).toEqual(names);
			const alone = JSON.parse(lees(["bench", "stop-button", "--json"]).stdout);
			const here = found.scenarios[names.indexOf("stop-button")];
			expect({ ...here, wallSeconds: 0 }).toEqual({ ...alone, wallSeconds: 0 });
			expect(status).toBe(0);
		},
		WAIT_MS,
	);

	it(
		"tells what a changed setpoint does: what differs, what broke, how many are the same",
		() => {
			const { status, stdout } = timed("--set", "waterDelayMs=400", "--set", "dryRunDelayMs=9000");
			expect(stdout).toContain("waterDelayMs is 400 ms in place of 300.\n");
			expect(stdout).toMatch(
				/\nwater-under-the-tube, seed 5\n {4}trip water-in-bowl +0:00:48\.3 -> 0:00:48\.4\n/,
			);
			expect(stdout).toMatch(
				/ {4}BROKEN now: dry-run within 6 s of flow-pulse-stuck \(found: \d\d\.\d s\)\n/,
			);
			expect(stdout).toContain(
				"lees bench meter-stands-still --set waterDelayMs=400 --set dryRunDelayMs=9000\n",
			);
			expect(stdout).not.toContain("\nstop-button, seed");
			const [, differ, , same] =
				/\n(\d+) of (\d+) scenarios differ, (\d+) are just the same/.exec(stdout) ?? [];
			expect(Number(differ)).toBeGreaterThanOrEqual(4);
			expect(Number(same)).toBeGreaterThanOrEqual(20);
			expect(stdout).toMatch(/\nBROKEN by the change: \d+ expectations? that held\.\n/);
			expect(widest(stdout)).toBeLessThanOrEqual(90);
			expect(status).toBe(1);
		},
		WAIT_MS,
	);

	it("refuses what would make a file of each run, a bad board and a bad change", () => {
		for (const [args, says] of [
			[["--log", "x.jsonl"], "--log  found x.jsonl; allowed: only with a single scenario"],
			[["--board", "paper"], "--board  found paper; allowed: model or emulated"],
			[["--set", "waterDelay=400"], "allowed: waterDelayMs (did you mean that?)"],
			[["--set", "waterDelayMs=400ms"], "a number from 100 to 400, without its unit (ms)"],
			[["--set", "waterDelayMs"], "allowed: SETPOINT=VALUE"],
			[["--set", "hornMs=10500", "--set", "hornMs=10600"], "each setpoint once"],
			[
				["--set", "waterDelayMs=5000"],
				"--set waterDelayMs=5000  setpoints.waterDelayMs: found 5000; allowed: at most 400",
			],
			[["--set", "dryFlowLph=40"], "setpoints.dryFlowLph: found 40; allowed: below primedFlowLph"],
		] as const) {
			const { status, stdout, stderr } = lees(["bench", "all", ...args]);
			expect(stderr).toContain(says);
			expect(stderr).not.toMatch(/\n\s+at /);
			expect(stdout).toBe("");
			expect(status).toBe(2);
		}
	});
});

describe("lees bench NAME --set", () => {
	const changed = ["bench", "water-under-the-tube", "--set", "waterDelayMs=400"];

	it("says what was changed, and plays it so", () => {
		const { stdout } = lees(changed);
		expect(stdout).toMatch(/^Seed 5, scenario water-under-the-tube\n/);
		expect(stdout).toContain("\nwaterDelayMs is 400 ms in place of 300.\n");
		const [was, is] = [["bench", "water-under-the-tube"], changed].map((args) =>
			JSON.parse(lees([...args, "--json"]).stdout),
		);
		expect(is.trips[0].atSeconds).toBeCloseTo(was.trips[0].atSeconds + 0.1, 6);
		expect(is.set).toEqual({ waterDelayMs: 400 });
		expect(was).not.toHaveProperty("set");
	});
});

it("two emulated boards at once, each in a process of its own, end as on the model", async () => {
	const two = loaded
		.filter(({ name }) => name.startsWith("welded-"))
		.map((one) => ({ ...one, seed: one.scenario.seed }));
	const built = pathToFileURL(join(root, ".build/host/cli/"));
	const played = await playAll(two, { board: "emulated", pins, built });
	const model = await playAll(two, { board: "model", pins, built });
	expect(played.map(({ result }) => result.board)).toEqual(["emulated", "emulated"]);
	expect(played.map(({ result }) => [result.scenario, result.outcome])).toEqual(
		model.map(({ result }) => [result.scenario, result.outcome]),
	);
	expect(played.every(({ account }) => account.includes("Emulated board."))).toBe(true);
}, 120_000);
