// Runs the built `lees` command as its user does, in a folder of the test's own. The build must be
// there: `npm test` makes it first.

import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { root } from "../stories/world.ts";

export const command = join(root, ".build/host/cli/main.js");

export interface Ended {
	readonly status: number | null;
	readonly stdout: string;
	readonly stderr: string;
}

/** @param more of the environment @param wallMsMax then it is ended, and has no status */
export function lees(
	args: readonly string[],
	cwd = root,
	more: Readonly<Record<string, string>> = {},
	wallMsMax = 600_000,
): Ended {
	const env = { ...process.env, NO_COLOR: "1", ...more };
	const ended = spawnSync(process.execPath, [command, ...args], {
		cwd,
		env,
		encoding: "utf8",
		timeout: wallMsMax,
	});
	return { status: ended.status, stdout: ended.stdout, stderr: ended.stderr };
}

/** A folder with the example rig and one scenario, either changed by the test. */
export function workshop(change: {
	rig?: (text: string) => string;
	scenario?: (text: string) => string;
}): string {
	const folder = mkdtempSync(join(tmpdir(), "lees-cli-"));
	mkdirSync(join(folder, "rigs"));
	mkdirSync(join(folder, "scenarios"));
	const from = (path: string) => readFileSync(join(root, "sim/bench", path), "utf8");
	const keep = (text: string) => text;
	const rig = (change.rig ?? keep)(from("rigs/teal-willow.rig.yaml"));
	const scenario = (change.scenario ?? keep)(from("scenarios/attended-cupful.bench.yaml"));
	writeFileSync(join(folder, "rigs/teal-willow.rig.yaml"), rig);
	writeFileSync(join(folder, "scenarios/own.bench.yaml"), scenario);
	return folder;
}

export const ownScenario = "scenarios/own.bench.yaml";
