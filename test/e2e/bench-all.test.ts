// `lees bench all` as its user runs it, from the build: the table, the JSON object, what a changed
// setpoint does, the exit statuses, and two emulated boards at once.

import { spawn } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { describe, expect, it } from "vitest";
import { playAll } from "../../host/cli/library-play.ts";
import { loadScenario, shippedScenarios } from "../../sim/bench/load.ts";
import { pins, root } from "../stories/world.ts";
import { command, lees } from "./cli.ts";

const loaded = shippedScenarios(root).map(loadScenario);
const names = loaded.map(({ name }) => name);
const WAIT_MS = 600_000;

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
			expect(stdout).toMatch(/^water-in-the-bowl +2\.00\d +180\.0 +179\.\d +3:00:\d\d {2}held/m);
			expect(stdout).toContain("\n    seed 11, finished; trip: water-in-bowl\n");
			expect(stdout).toMatch(/\nAll \d+ expectations held\.\n$/);
			expect(widest(stdout)).toBeLessThanOrEqual(80);
			expect(status).toBe(0);
		},
		WAIT_MS,
	);

	it(
		"plays both sides of a changed setpoint, and says what differs, what broke, what is the same",
		() => {
			const changes = ["waterDelayMs=400", "dryRunDelayMs=9000"];
			const { status, stdout } = timed("--json", ...changes.flatMap((change) => ["--set", change]));
			const found = JSON.parse(stdout);
			expect(Object.keys(found)).toEqual([
				...["board", "seed", "expectations", "simulatedSeconds", "wallSeconds"],
				...["scenarios", "leftOut", "set", "asShipped", "comparison"],
			]);
			const { board, seed, leftOut, set } = found;
			expect({ board, seed, leftOut, set }).toEqual({
				board: "model",
				seed: null,
				leftOut: [],
				set: { waterDelayMs: 400, dryRunDelayMs: 9_000 },
			});
			const namesOf = (rows: Array<{ scenario: string }>) => rows.map((row) => row.scenario);
			for (const rows of [found.scenarios, found.asShipped, found.comparison]) {
				expect(namesOf(rows)).toEqual(names);
			}
			const of = (rows: object[], name: string) => rows[names.indexOf(name)];
			const alone = JSON.parse(lees(["bench", "stop-button", "--json"]).stdout);
			for (const rows of [found.scenarios, found.asShipped]) {
				expect({ ...of(rows, "stop-button"), wallSeconds: 0 }).toEqual({
					...alone,
					wallSeconds: 0,
				});
			}
			expect(of(found.comparison, "stop-button")).toMatchObject({ changes: [], isSame: true });
			expect(of(found.comparison, "water-under-the-tube")).toMatchObject({
				changes: expect.arrayContaining([
					{ what: "trip water-in-bowl", before: "0:00:48.3", after: "0:00:48.4" },
				]),
				brokenNow: [],
			});
			expect(of(found.comparison, "meter-stands-still")).toMatchObject({
				brokenNow: [{ text: "dry-run within 6 s of flow-pulse-stuck", held: false }],
			});
			expect(found.expectations.held).toBeLessThan(found.expectations.of);
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
				"--set waterDelayMs=5000 for Teal Willow portable rig  setpoints.waterDelayMs: found 5000",
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

it("an emulated board ends with the command that started it, however that ended", async () => {
	const parent = spawn(process.execPath, [command, "bench", "clean-polish", "--board", "emulated"]);
	const children = () => {
		const file = `/proc/${parent.pid}/task/${parent.pid}/children`;
		return readFileSync(file, "utf8").split(" ").filter(Boolean);
	};
	await expect.poll(() => children().length, { timeout: 20_000 }).toBe(1);
	const [board] = children();
	// It is at work when it has used some time of its own.
	const usedTicks = () => Number(readFileSync(`/proc/${board}/stat`, "utf8").split(" ")[13]);
	await expect.poll(usedTicks, { timeout: 40_000 }).toBeGreaterThan(200);
	parent.kill("SIGKILL");
	await expect.poll(() => existsSync(`/proc/${board}`), { timeout: 20_000 }).toBe(false);
}, 90_000);

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
