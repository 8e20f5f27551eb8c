// `lees replay` as its user has it: a run kept by the bench, a stop of the rig pulled over a cable
// that loses bytes and comes off, and bad input. Exit 0 the same, 1 otherwise, 2 not to be decided.

import { spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { decodeRun, encodeRun } from "../../firmware/log/kept-run.ts";
import { Tape } from "../../firmware/log/tape.ts";
import { Archive } from "../../host/archive/archive.ts";
import { decidingFiles } from "../../host/cli/logic-here.ts";
import { replayAnswer } from "../../host/replay/answer.ts";
import { ringStory, writeStory } from "../archive/ring-story.ts";
import { root } from "../stories/world.ts";
import { command, lees } from "./cli.ts";
import { until } from "./live.ts";
import { NoisyCable } from "./noisy-cable.ts";
import { ServedStore } from "./served-store.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-replay-"));
const file = (name: string) => join(folder, name);
const kept = file("water.run");
const widest = (text: string) => Math.max(...text.split("\n").map((line) => line.length));

describe("a run that the bench kept", () => {
	it("is decided the same, and is never written over", () => {
		const bench = ["bench", "water-under-the-tube", "--keep", kept];
		expect(lees(bench).status).toBe(0);
		const before = readFileSync(kept);
		const log = file("water.log");
		const again = lees([...bench, "--log", log]);
		// Refused before anything is played: nothing else is written.
		expect(existsSync(log)).toBe(false);
		expect(again.status).toBe(2);
		expect(again.stderr).toContain("found a file that is there already; allowed: a new file");
		expect(readFileSync(kept).equals(before)).toBe(true);
		const { status, stdout } = lees(["replay", kept]);
		expect(status).toBe(0);
		expect(stdout).toMatch(/IDENTICAL: all \d+ ticks decide the same\./);
		expect(stdout).toMatch(
			/\d+ ticks, 0:00:\d\d at the rig, in \d+\.\d\d s: \d+ times real time\./,
		);
		expect(stdout).toContain("TRIP water-in-bowl. Pump off.");
		expect(widest(stdout.replace(kept, "F"))).toBeLessThanOrEqual(80);
		console.log(/^\d+ ticks.*$/m.exec(stdout)?.[0]);
	});

	it("is decided the same where a box is proven in it, each step of it", () => {
		const run = file("commissioning.run");
		expect(lees(["bench", "commissioning", "--keep", run]).status).toBe(0);
		const { status, stdout } = lees(["replay", run]);
		expect(status).toBe(0);
		expect(stdout).toMatch(/IDENTICAL: all \d+ ticks decide the same\./);
		expect(stdout).toContain("Proven: dead-man.");
	});

	it("is decided otherwise with a setpoint changed, and the first difference is told", () => {
		const { status, stdout } = lees(["replay", kept, "--set", "waterDelayMs=400"]);
		expect(status).toBe(1);
		expect(stdout).toContain("What if: waterDelayMs=400.");
		expect(stdout).toContain("output pump-demand    then off, now on");
		expect(stdout).toContain("record: then trip, now none");
		expect(stdout.replaceAll("\n", " ")).toContain(
			"in the world another decision would have had other readings",
		);
		expect(stdout).not.toContain("IDENTICAL");
		const json = lees(["replay", kept, "--set", "waterDelayMs=400", "--json"]);
		expect(json.status).toBe(1);
		const answer = replayAnswer.parse(JSON.parse(json.stdout));
		expect(answer).toMatchObject({
			...{ kind: "exact", isIdentical: false, set: { waterDelayMs: 400 } },
			difference: { boot: 1, hung: null, records: [{ was: "trip", now: null }, {}] },
		});
	});

	it("of several boots is decided boot by boot", () => {
		const run = file("cut.run");
		expect(lees(["bench", "power-cut", "--keep", run]).status).toBe(0);
		const { status, stdout } = lees(["replay", run]);
		expect(status).toBe(0);
		expect(stdout).toContain("Boot 1");
		expect(stdout).toContain("Interrupted run found.");
	});
});

describe("bad input", () => {
	const says = (args: readonly string[], ...words: string[]) => {
		const { status, stdout, stderr } = lees(["replay", ...args]);
		expect({ status, stdout }).toEqual({ status: 2, stdout: "" });
		for (const word of words) expect(stderr).toContain(word);
		expect(stderr).not.toMatch(/\n\s+at /);
	};

	it("is told: no file, a scenario, a directory, a text", () => {
		says([file("none.run")], "no such file", "last, or a run's number");
		says(["clean-polish"], "a scenario", "lees bench clean-polish --keep F");
		mkdirSync(file("folder"), { recursive: true });
		says([file("folder")], "a directory");
		writeFileSync(file("text"), "oil change in spring");
		says([file("text")], "no kept run at byte 0", "whole");
	});

	it("is told: a file that is cut off, damaged, or of a newer version", () => {
		const bytes = readFileSync(kept);
		writeFileSync(file("cut-off"), bytes.subarray(0, 5_000));
		says([file("cut-off")], "a file that ends early, at byte 5000");
		const damaged = Buffer.from(bytes);
		damaged[3_000] = (damaged[3_000] ?? 0) ^ 1;
		writeFileSync(file("damaged"), damaged);
		says([file("damaged")], "a damaged section (wrong CRC), at byte ");
		const newer = Buffer.from(bytes);
		newer[7] = 9;
		writeFileSync(file("newer"), newer);
		says([file("newer")], "a kept run of version 9; this program knows 1");
	});

	it("is told: a run of which no tick was kept", () => {
		const { head, stretches } = decodeRun(readFileSync(kept));
		writeFileSync(file("empty.run"), encodeRun({ head, stretches: [] }));
		says([file("empty.run")], "no tick inputs", "at least one tick");
		const cut = stretches.map(({ begin }) => ({ begin, tape: new Tape([]), texts: [] }));
		writeFileSync(file("tickless.run"), encodeRun({ head, stretches: cut }));
		says([file("tickless.run")], "no tick inputs");
	});

	it("is told: no archive, no such setpoint, no such value", () => {
		says(["last", "--archive", file("none.sqlite")], "no such archive");
		says([kept, "--set", "waterDelay=400"], "--set", "waterDelayMs (did you mean that?)");
		says([kept, "--set", "waterDelayMs=4000"], "--set", "400");
	});
});

describe("the hash of the logic", () => {
	it("is over the same files, written and built", () => {
		const stems = (folder: string, ending: ".ts" | ".js") =>
			decidingFiles(join(root, folder), ending).map(([name]) => name.slice(0, -3));
		expect(stems(".build/firmware", ".js")).toEqual(stems("firmware", ".ts"));
	});
});

describe("a stop of the rig", { timeout: 120_000 }, () => {
	const story = ringStory("tube-out-of-the-fuel");
	const trip = story.run.records.find(({ kind }) => kind === "trip")?.seq ?? 0;
	const cable = new NoisyCable({ seed: 6, share: 1e-4 });
	const archive = file("archive.sqlite");
	let served: ServedStore;

	beforeAll(async () => {
		served = await ServedStore.with((store) => writeStory(store, story));
		await cable.plugIn();
		await served.serveSerial(cable.aboard);
	}, 60_000);
	afterAll(async () => {
		cable.close();
		await served.close();
	});

	async function pull() {
		const args = ["pull", cable.ashore, "--archive", archive, "--json"];
		const child = spawn(process.execPath, [command, ...args]);
		const got = { stdout: "", status: null as number | null };
		child.stdout.on("data", (text: Buffer) => {
			got.stdout += text.toString();
		});
		child.on("close", (status) => {
			got.status = status;
		});
		return { child, got };
	}

	it("comes over a cable that loses bytes and comes off in the middle of a window", async () => {
		const { got } = await pull();
		// The records take less than a second of the cable; then the windows come.
		await until(() => served.windowFrames > 40, 30);
		await cable.pull(1, false);
		await until(() => got.status !== null, 60);
		expect(got.status).toBe(0);
		const pulled = JSON.parse(got.stdout);
		expect(pulled).toMatchObject({ windows: 2, windowsWanted: 2, isComplete: true });
		expect(pulled.losses).toBeGreaterThan(0);
		expect(cable.counts.flipped + cable.counts.lost).toBeGreaterThan(0);
	});

	it("comes once: the next pull brings nothing", async () => {
		const { got } = await pull();
		await until(() => got.status !== null, 30);
		expect(JSON.parse(got.stdout)).toMatchObject({ records: 0, windows: 0, windowsWanted: 0 });
		const kept = new Archive(archive, { create: false });
		expect(kept.windows(served.store.storeId).map(({ seq }) => seq)).toContain(trip);
		kept.close();
	});

	it("is decided again as the controller decided, by its record, its run and as the last", () => {
		const run = story.run.records.find(({ kind }) => kind === "run-begin")?.seq ?? 0;
		for (const name of ["last", `${trip}`, `${run}`]) {
			const { status, stdout } = lees(["replay", name, "--archive", archive]);
			expect({ name, status }).toEqual({ name, status: 0 });
			expect(stdout).toMatch(new RegExp(`window of record ${trip}$`, "m"));
			expect(stdout).toContain(
				"Recorded by version 0.0.1, logic of-the-story; replayed by version",
			);
			// Of the whole run its end, after the stop, is not in the window.
			const place = name === `${run}` ? ` in 0:\\d\\d:\\d\\d\\.\\d of run ${run}` : "";
			expect(stdout).toMatch(
				new RegExp(`^IDENTICAL${place}: all [456]\\d\\d\\d ticks decide the same\\.$`, "m"),
			);
			expect(stdout.includes("was not decided")).toBe(name === `${run}`);
		}
	});

	it("comes out otherwise with a setpoint changed", () => {
		const what = ["replay", "last", "--archive", archive, "--set", "dryRunDelayMs=9000"];
		const { status, stdout } = lees(what);
		expect(status).toBe(1);
		expect(stdout).toMatch(/DIFFERENT at 0:\d\d:\d\d\.\d after boot 1 began/);
		expect(stdout).toContain("flow L/h");
	});

	it("is told by its names where another is asked for", () => {
		const { status, stderr } = lees(["replay", "999999", "--archive", archive]);
		expect(status).toBe(2);
		expect(stderr).toContain(`nothing by the name 999999; allowed: last, or one of `);
		expect(stderr).toContain(`${trip}`);
	});
});
