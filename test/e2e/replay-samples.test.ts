// A run of which the archive has samples alone: `lees replay` says approximate, finds the trip that
// came where samples can tell it, says where they cannot, and never calls anything identical.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { encodeRun } from "../../firmware/log/kept-run.ts";
import { Archive } from "../../host/archive/archive.ts";
import { runsOf } from "../../host/archive/runs.ts";
import { type ApproximateAnswer, replayAnswer } from "../../host/replay/answer.ts";
import { approximate } from "../../host/replay/approximate.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import { batchOf, chainedRecords, STORE } from "../archive/drawn-log.ts";
import { pins, rigFile, root } from "../stories/world.ts";
import { lees } from "./cli.ts";

const runs = new Map<string, ModelRun>();
function runOf(name: string): ModelRun {
	const found = runs.get(name);
	if (found !== undefined) return found;
	const { scenario, rig } = loadScenario(findScenario(root, name));
	const run = runScenario(scenario, rig, pins);
	runs.set(name, run);
	return run;
}

function again(name: string, setpoints: Partial<ModelRun["rig"]["setpoints"]> = {}) {
	const { rig, records } = runOf(name);
	const [run] = runsOf(records);
	if (run === undefined) throw new Error("no run");
	const own = records.filter(({ seq }) => seq >= run.begin.seq);
	const changed = { ...rig, setpoints: { ...rig.setpoints, ...setpoints } };
	return approximate(run, own, { rig: changed, pins }, "archive");
}

describe("samples through today's logic", () => {
	it.each([
		["seized-pump", "overcurrent"],
		["motor-wire-off", "no-current"],
		["no-prime", "prime-failed"],
		["meter-stands-still", "dry-run"],
		["charger-runs-wild", "supply-high"],
		["tube-against-the-wall", "suction-blocked"],
	] as const)("of %s bring %s within a second of the log's", (name, code) => {
		const { tripThen, tripNow, hasSameTrip, outOfStepSeconds } = again(name);
		expect([tripThen?.code, tripNow?.code]).toEqual([code, code]);
		expect(Math.abs((tripNow?.atSeconds ?? 0) - (tripThen?.atSeconds ?? 9))).toBeLessThan(1);
		expect(hasSameTrip).toBe(true);
		expect(outOfStepSeconds).toBeNull();
	});

	it("of a run without a trip bring none", () => {
		expect(again("attended-cupful")).toMatchObject({
			...{ tripThen: null, tripNow: null, hasSameTrip: true },
		});
	});

	it("do not tell a trip of another sensor, and say so", () => {
		const { tripThen, tripNow, hasSameTrip, assumed } = again("leak-in-the-tray");
		expect([tripThen, tripNow]).toMatchObject([{ code: "leak", isTellable: false }, null]);
		expect(hasSameTrip).toBe(false);
		expect(assumed.join(" ")).toContain(
			"The trip that came, leak, is one that samples cannot tell",
		);
	});

	it("bring another course with another setpoint", () => {
		const { tripThen, tripNow, hasSameTrip } = again("charger-runs-wild", {
			supplyHighVolts: 15.8,
		});
		expect(tripThen?.code).toBe("supply-high");
		expect(tripNow).toBeNull();
		expect(hasSameTrip).toBe(false);
	});

	it("end where today's logic pumps and the log did not", () => {
		const { outOfStepSeconds, hasSameTrip } = again("blocked-cooling");
		expect(outOfStepSeconds).toBeGreaterThan(900);
		expect(hasSameTrip).toBe(false);
	});
});

/** An archive of that run's records, with or without what an older program could not keep. */
function archiveOf(
	name: string,
	knowsRig: boolean,
	ofBoot?: number,
): { file: string; run: number } {
	const { records, rig } = runOf(name);
	const file = join(mkdtempSync(join(tmpdir(), "lees-samples-")), "archive.sqlite");
	const archive = new Archive(file, { create: true });
	archive.add(STORE, batchOf(chainedRecords(records)));
	const order = records.find(({ kind }) => kind === "order");
	if (knowsRig && order !== undefined) {
		const { seq, monoMs: toMs } = order;
		const boot = ofBoot ?? order.boot;
		const source = { type: "window", storeId: STORE, seq, boot } as const;
		const origin = { logic: { version: "0.0.1", hash: "then" }, rig, pins };
		const window = encodeRun({ head: { source, origin }, stretches: [] });
		archive.keepWindow(STORE, { seq, boot, toMs }, window);
	}
	archive.close();
	return { file, run: runsOf(records)[0]?.begin.seq ?? 0 };
}

describe("the command", () => {
	const { file, run } = archiveOf("seized-pump", true);

	it("says approximate, and on what it rests", () => {
		const { status, stdout } = lees(["replay", `${run}`, "--archive", file]);
		expect(status).toBe(0);
		expect(stdout).toContain("APPROXIMATE: the same trip, or none, as in the log.");
		expect(stdout).toMatch(/then {2}overcurrent at 0:01:\d\d\.\d\n {2}now {3}overcurrent at 0:01:/);
		expect(stdout).toContain("A hint and no proof");
		expect(stdout).toContain("The probe is dry, the stop button released");
		expect(stdout.toLowerCase()).not.toContain("identical");
		const json = lees(["replay", `${run}`, "--archive", file, "--json"]);
		const answer = replayAnswer.parse(JSON.parse(json.stdout)) as ApproximateAnswer;
		expect(answer).toMatchObject({ kind: "approximate", hasSameTrip: true });
		expect(json.stdout.toLowerCase()).not.toContain("identical");
	});

	it("exits with 1 when another trip comes", () => {
		const what = ["replay", `${run}`, "--archive", file, "--set", "waterDelayMs=400"];
		expect(lees(what).status).toBe(0);
		const later = ["replay", `${run}`, "--archive", file, "--set", "timeLimitMinutes=1"];
		const { status, stdout } = lees(later);
		expect(status).toBe(1);
		expect(stdout).toContain("APPROXIMATE: ANOTHER course.");
		expect(stdout).toMatch(/now {3}time-limit at /);
	});

	it("exits with 1 where the log's trip is none that samples tell", () => {
		const leak = archiveOf("leak-in-the-tray", true);
		const { status, stdout } = lees(["replay", `${leak.run}`, "--archive", leak.file]);
		expect(status).toBe(1);
		expect(stdout).toContain("APPROXIMATE: the trip that came, leak, cannot be told by samples.");
		expect(stdout).toMatch(/then {2}leak at /);
		expect(stdout).not.toContain("the same trip");
	});

	it("does not take another boot's program for the run's", () => {
		const other = archiveOf("seized-pump", true, 7);
		const { stdout } = lees(["replay", `${other.run}`, "--archive", other.file]);
		expect(stdout).toContain("Recorded by a program of which no version is known;");
		expect(stdout.replaceAll(/\n */g, " ")).toContain(
			"The rig file and the pin map are that of boot 7",
		);
	});

	it("asks for a rig file where the archive knows none", () => {
		const old = archiveOf("seized-pump", false);
		const without = lees(["replay", `${old.run}`, "--archive", old.file]);
		expect(without.status).toBe(2);
		expect(without.stderr).toContain("no rig file of that time");
		expect(without.stderr).toContain("--rig-file F");
		const withFile = lees([
			...["replay", `${old.run}`, "--archive", old.file, "--rig-file", rigFile],
		]);
		expect(withFile.status).toBe(0);
		expect(withFile.stdout).toContain("Recorded by a program of which no version is known");
		expect(withFile.stdout.replaceAll("\n", "")).toContain("What if: rig file ");
	});
});
