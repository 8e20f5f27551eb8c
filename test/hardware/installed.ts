// The service as install.sh puts it into a folder: what its tests read there, and the command that
// the controller's unit starts, with the places of a real computer turned into the test's own.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Ended } from "../e2e/cli.ts";
import { rigFile, root } from "../stories/world.ts";

export const service = join(root, "hardware/service");

export const freshRoot = () => mkdtempSync(join(tmpdir(), "lees-service-"));

export function install(into: string, ...args: string[]): Ended {
	const script = join(service, "install.sh");
	return spawnSync("sh", [script, "--root", into, ...args], { encoding: "utf8", input: "" });
}

export const FIRST = ["--rig", rigFile, "--board-serial", "95530343834351A0B0C1"] as const;

/** A unit's settings in order: section, key, value. */
export function readUnit(into: string, unit: string): Array<readonly [string, string, string]> {
	let section = "";
	const file = readFileSync(join(into, "etc/systemd/system", unit), "utf8");
	const text = file.replaceAll(/\\\n\s*/g, "");
	return text.split("\n").flatMap((line) => {
		section = /^\[(\w+)\]$/.exec(line)?.[1] ?? section;
		const [, key, value] = /^(\w+)=(.*)$/.exec(line) ?? [];
		return key === undefined || value === undefined ? [] : [[section, key, value] as const];
	});
}

export function settingOf(into: string, unit: string, key: string): string {
	return readUnit(into, unit).find(([, name]) => name === key)?.[2] ?? "";
}

/** What `$LEES_LINK` and the like stand for, from the installed environment file. */
export function environment(into: string): Record<string, string> {
	const text = readFileSync(join(into, "etc/lees/service.env"), "utf8");
	const lines = text.split("\n").flatMap((line) => {
		const [, key, value] = /^(\w+)="?([^"]*)"?$/.exec(line) ?? [];
		return key === undefined || value === undefined ? [] : [[key, value] as const];
	});
	return Object.fromEntries(lines);
}

/** @param places what stands there in place of each path of a real computer, longest first */
export function execStart(
	into: string,
	unit: string,
	places: ReadonlyArray<readonly [string, string]>,
): string[] {
	const given = environment(into);
	const words = settingOf(into, unit, "ExecStart")
		.split(" ")
		.flatMap((word) => (word.startsWith("$") ? (given[word.slice(1)] ?? "").split(" ") : [word]));
	return words
		.filter((word) => word !== "")
		.map((word) => places.reduce((text, [there, here]) => text.replace(there, here), word));
}
