// A session that forgets decides as one that keeps all, keeps what a restart reads, and does not
// grow with the hours.

import { expect, it } from "vitest";
import { recover } from "../../firmware/log/recovery.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { pins, root } from "./world.ts";

const played = (name: string, forgets: boolean) => {
	const { scenario, rig } = loadScenario(`${root}/sim/bench/scenarios/${name}.bench.yaml`);
	return { rig, run: runScenario(scenario, rig, pins, { forgets }) };
};

// A long one, one with restarts, one with a slow disk.
it.each(["clean-polish", "power-cut-and-again", "nearly-log-failed"])(
	"what it forgets of %s is missed by nobody",
	(name) => {
		const all = played(name, false);
		const { rig, run } = played(name, true);
		const { wallSeconds: _, ...summed } = sumUp(name, run, 0);
		const { wallSeconds: __, ...whole } = sumUp(name, all.run, 0);
		expect(summed).toEqual(whole);
		expect(run.state).toEqual(all.run.state);
		expect(recover(run.records, rig)).toEqual(recover(all.run.records, rig));
		expect(run.boots).toEqual([]);
		// No more than two thousand, and what has to stay of the others.
		expect(run.records.length).toBeLessThan(Math.min(2_200, all.run.records.length + 1));
		if (name === "clean-polish") expect(all.run.records.length).toBeGreaterThan(6_000);
	},
);
