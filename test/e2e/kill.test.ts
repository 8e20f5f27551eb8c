// Pumping controllers are killed at drawn moments, 200 times, and started again on the same store,
// two at a time in a process of their own (kill-life.ts). Judged by what the rig model says was
// pumped: totals never go back, never lose more than 5 s and count nothing twice.
//
// What this proves is the record store and the recovery, thread and file included. Time runs at
// twenty times its pace and the samples' wait with it, so that the store's own work weighs twenty
// times what it does aboard: 5 s of the rig are 250 ms here. SIGKILL leaves the page cache whole:
// what a power cut takes is another test's.

import { spawn } from "node:child_process";
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { expect, it } from "vitest";
import type { Tally } from "../../firmware/totals.ts";
import { root } from "../stories/world.ts";

const work = join(root, ".build/test/e2e/kill-life.js");
const NAMES = ["a", "b"];
const SEEDS = [1, 2];
/** Of each seed's process. */
const KILLS = 50;
/** From the second motor's start to the kill, ms of the machine; most are far shorter. */
const DELAY_MS_MAX = 600;
const LOST_MS_MAX = 5_000;
/** A tick at the motor's start and one at its end. */
const TICKS_MS = 200;

interface Life {
	readonly boot: number;
	/** Totals that it found in the log. */
	readonly base: Tally;
	/** What it has pumped since, by the model, tick by tick. */
	readonly truth: ReadonlyArray<Tally & { readonly atMs: number }>;
}

/** Starts both, and kills them so long after both motors have started. */
function live(folder: string, delayMs: number): Promise<Life[]> {
	return new Promise((resolve, reject) => {
		const child = spawn(process.execPath, [work, root, folder]);
		let stdout = "";
		let stderr = "";
		let isTimed = false;
		child.stdout.on("data", (text: Buffer) => {
			stdout += text.toString();
			if (isTimed || !NAMES.every((name) => stdout.includes(`${name} pumping`))) return;
			isTimed = true;
			setTimeout(() => child.kill("SIGKILL"), delayMs);
		});
		child.stderr.on("data", (text: Buffer) => {
			stderr += text.toString();
		});
		child.on("close", (_, signal) => {
			if (signal === "SIGKILL") resolve(NAMES.map((name) => lifeIn(name, stdout)));
			else reject(new Error(`it ended by itself: ${stderr}${stdout.slice(-200)}`));
		});
	});
}

function lifeIn(name: string, stdout: string): Life {
	// The last line may be cut.
	const lines = stdout.split("\n").slice(0, -1);
	const rows = (word: string) => {
		const start = `${name} ${word} `;
		const those = lines.filter((line) => line.startsWith(start));
		return those.map((line) => line.slice(start.length).split(" ").map(Number));
	};
	const [boot = 0, motorMs = 0, pulses = 0] = rows("boot")[0] ?? [];
	const truth = rows("at").map(([atMs = 0, motorMs = 0, pulses = 0]) => ({
		...{ atMs, motorMs, pulses },
	}));
	return { boot, base: { motorMs, pulses }, truth };
}

/** @returns how much of the motor's time the log has lost of this life, ms */
function judge({ boot, base, truth }: Life, next: Life): number {
	const last = truth.at(-1);
	if (last === undefined) throw new Error("it never pumped");
	const sure = truth.findLast(({ atMs }) => atMs <= last.atMs - LOST_MS_MAX);
	const found = {
		motorMs: next.base.motorMs - base.motorMs,
		pulses: next.base.pulses - base.pulses,
	};
	expect(next.boot).toBe(boot + 1);
	const what = `boot ${boot}`;
	expect(found.motorMs, what).toBeLessThanOrEqual(last.motorMs + TICKS_MS);
	expect(found.pulses, what).toBeLessThanOrEqual(last.pulses);
	expect(found.motorMs, what).toBeGreaterThanOrEqual(Math.max(0, (sure?.motorMs ?? 0) - TICKS_MS));
	expect(found.pulses, what).toBeGreaterThanOrEqual(sure?.pulses ?? 0);
	return last.motorMs - found.motorMs;
}

async function lane(seed: number) {
	const folder = mkdtempSync(join(tmpdir(), "lees-kill-"));
	const random = xoroshiro128plus(seed);
	const lost: number[] = [];
	let pumpedMs = 0;
	let before: Life[] = [];
	// One more than are judged: each tells what is left of the one before it.
	for (let i = 0; i <= KILLS; i += 1) {
		const share = uniformInt(random, 0, 1_000) / 1_000;
		const lives: Life[] = await live(folder, DELAY_MS_MAX * share ** 2);
		before.forEach((life, which) => {
			const next = lives[which];
			if (next !== undefined) lost.push(judge(life, next));
			pumpedMs += life.truth.at(-1)?.motorMs ?? 0;
		});
		before = lives;
	}
	return { lost, pumpedMs };
}

it("200 kills: totals never go back, lose at most 5 s each, and count nothing twice", {
	timeout: 600_000,
}, async () => {
	const lanes = await Promise.all(SEEDS.map(lane));
	const lost = lanes.flatMap((each) => each.lost).sort((a, b) => a - b);
	const pumpedMs = lanes.reduce((sum, each) => sum + each.pumpedMs, 0);
	const at = (share: number) => lost[Math.floor((lost.length - 1) * share)];
	console.log(
		`${lost.length} kills in ${pumpedMs / 1000} s of pumping; lost, ms: ` +
			`least ${at(0)}, median ${at(0.5)}, 95 % ${at(0.95)}, most ${at(1)}`,
	);
	expect(lost.length).toBe(KILLS * NAMES.length * SEEDS.length);
	// Enough of them pumped for longer than they may lose.
	expect(pumpedMs / lost.length).toBeGreaterThan(2_000);
});
