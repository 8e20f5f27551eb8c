// One scenario that is to be played on a thread or in a process, and what comes of it: plain JSON,
// since it goes from one to the other.

import type { Rig } from "../../firmware/config/rig.ts";
import { type BenchResult, sumUp } from "../../sim/bench/judge.ts";
import type { Scenario } from "../../sim/bench/scenario.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import { benchAccount } from "../report/bench-account.ts";

export interface Play {
	readonly name: string;
	readonly scenario: Scenario;
	readonly rig: Rig;
	readonly seed: number;
}

export interface Played {
	readonly result: BenchResult;
	/** As `lees bench NAME` prints it. */
	readonly account: string;
}

/** @param began by `process.hrtime.bigint()`, before the run */
export function playedFrom({ name }: Play, run: BenchRun, began: bigint): Played {
	const wallSeconds = Number(process.hrtime.bigint() - began) / 1e9;
	const result = sumUp(name, run, wallSeconds);
	const account = benchAccount(run, result).map(({ text }) => `${text}\n`);
	return { result, account: account.join("") };
}
