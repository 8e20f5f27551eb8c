// How late the 100 ms tick is while both cores are loaded: the controller at its work in a process
// of its own, a bare timer in another in the same minutes, and as many processes that only spin as
// there are cores. Deadlines are absolute. Imports Node only.

import { type ChildProcess, fork, spawn } from "node:child_process";
import { availableParallelism } from "node:os";
import type { Measured } from "./parts.ts";
import { percentile } from "./table.ts";
import type { Ticked } from "./ticker-child.ts";

const SHARE = 0.999;
const GOAL_MS = { usual: 100, worst: 200 };

/** @throws Error when the pump did not run: then the ticks had little to do */
export async function measureLateness(
	root: string,
	scratch: string,
	minutes: number,
): Promise<Measured> {
	const cores = availableParallelism();
	const spinning = Array.from({ length: cores }, () =>
		spawn(process.execPath, ["-e", "for (;;) {}"], { stdio: "ignore" }),
	);
	const file = new URL("ticker-child.js", import.meta.url);
	const tickers = ["controller", "bare"].map((kind) => fork(file, [kind, root, scratch]));
	try {
		const [ours, bare] = await Promise.all(tickers.map((child) => run(child, minutes * 60_000)));
		if (ours === undefined || bare === undefined) throw new Error("no ticks");
		if (ours.pulses === 0) throw new Error("the order has not pumped");
		return account(ours.lateMs, bare.lateMs, cores, minutes);
	} finally {
		for (const child of [...spinning, ...tickers]) child.kill("SIGKILL");
	}
}

function run(child: ChildProcess, ms: number): Promise<Ticked> {
	return new Promise((resolve, reject) => {
		child.once("message", (ticked) => resolve(ticked as Ticked));
		child.once("exit", (code) => reject(new Error(`a timer's process ended with ${code}`)));
		child.send(ms);
	});
}

function account(
	ours: readonly number[],
	bare: readonly number[],
	cores: number,
	minutes: number,
): Measured {
	const shares = [0.5, 0.99, SHARE, 1];
	const row = (name: string, late: readonly number[]) => [
		name,
		String(late.length),
		...shares.map((share) => percentile(late, share).toFixed(1)),
	];
	const figure = (what: string, share: number, goalMs: number) => {
		const [value, peer] = [percentile(ours, share), percentile(bare, share)];
		return {
			what: `lateness of the tick, ${what}`,
			shown: `${value.toFixed(1)} ms (${minutes} min, ${cores} busy processes on ${cores} cores)`,
			goal: `under ${goalMs} ms`,
			met: value < goalMs,
			peer: `${peer.toFixed(1)} ms of a bare timer`,
			ratio: value / peer,
		};
	};
	return {
		rows: [
			["tick late by, ms", "ticks", "median", "99 %", "99.9 %", "most"],
			row("controller", ours),
			row("bare timer", bare),
		],
		figures: [figure("99.9 %", SHARE, GOAL_MS.usual), figure("the worst", 1, GOAL_MS.worst)],
	};
}
