// How many years a campaign lives through in a minute: the command itself, in a process of its own,
// on all cores. Years with the pump on stand beside them: a drawn story also waits and rests.
// Imports Node only.

import { spawnSync } from "node:child_process";
import { availableParallelism } from "node:os";
import { join } from "node:path";
import type { Measured } from "./parts.ts";
import { NO_GOAL } from "./table.ts";

const YEAR_HOURS = 8_766;
/** Some half a minute of two cores: the first third of the row that `npm test` plays. */
const SEEDS = { from: 1, to: 400 };

/** @throws Error when a seed fails: then there is something else to do */
export function timeCampaign(root: string, scratch: string): Measured {
	const command = join(root, ".build/host/cli/main.js");
	const seeds = `${SEEDS.from}..${SEEDS.to}`;
	const args = [command, "campaign", "--json", "--seeds", seeds, "--write", scratch];
	const { status, stdout, stderr } = spawnSync(process.execPath, args, {
		encoding: "utf8",
		maxBuffer: 1 << 26,
	});
	if (status !== 0) throw new Error(`the campaign ended with ${status}: ${stderr}`);
	const { runs, simulatedHours, pumpOnHours, wallSeconds, timesRealTime } = JSON.parse(stdout);
	const minutes = wallSeconds / 60;
	const rate = (hours: number) => hours / YEAR_HOURS / minutes;
	const pumped = rate(pumpOnHours);
	const cores = availableParallelism();
	return {
		rows: [
			["campaign", "runs", "hours", "with the pump on", "wall, s", "times real time"],
			[
				`seeds ${seeds}`,
				String(runs),
				simulatedHours.toFixed(0),
				pumpOnHours.toFixed(0),
				wallSeconds.toFixed(1),
				timesRealTime.toFixed(0),
			],
		],
		figures: [
			{
				what: `campaign on ${cores} cores`,
				shown: `${rate(simulatedHours).toFixed(3)} years a minute, ${pumped.toFixed(3)} pump on`,
				goal: NO_GOAL,
				met: true,
			},
		],
	};
}
