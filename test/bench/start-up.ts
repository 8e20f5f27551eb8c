// How long `lees --help` takes beside a bare `node -e 0`: processes started in turns, so that what
// else the machine does meets both; the medians of both and their ratio. Imports Node only.

import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { type Figure, median } from "./table.ts";

/** Times a bare Node. */
const GOAL = 1.5;
const ROUNDS = 31;

export interface StartUp {
	readonly rows: string[][];
	readonly figures: readonly Figure[];
}

/** @param root the project's folder, built @throws Error when the help is not printed */
export function timeStartUp(root: string): StartUp {
	const bare = () => start(["-e", "0"]).ms;
	const help = () => {
		const { ms, said } = start([join(root, ".build/host/cli/main.js"), "--help"]);
		if (!said.includes("Usage: lees")) throw new Error(`lees --help said ${said.slice(0, 200)}`);
		return ms;
	};
	// The first ones bring the files into memory and are not counted.
	bare();
	help();
	const bares: number[] = [];
	const helps: number[] = [];
	for (let round = 0; round < ROUNDS; round += 1) {
		if (round % 2 === 0) bares.push(bare());
		helps.push(help());
		if (round % 2 === 1) bares.push(bare());
	}
	const ratio = median(helps) / median(bares);
	const row = (name: string, times: readonly number[]) => [
		name,
		...[median(times), Math.min(...times), Math.max(...times)].map((ms) => ms.toFixed(1)),
	];
	return {
		rows: [
			["start-up", "ms, median", "least", "most"],
			row("node -e 0", bares),
			row("lees --help", helps),
		],
		figures: [
			{
				what: "start-up of lees --help",
				shown: `${ratio.toFixed(2)} times a bare node -e 0 (medians of ${ROUNDS})`,
				goal: `at most ${GOAL}`,
				met: ratio <= GOAL,
				peer: `${median(bares).toFixed(0)} ms of node -e 0`,
				ratio,
			},
		],
	};
}

function start(args: readonly string[]): { ms: number; said: string } {
	const fromMs = performance.now();
	const { status, stdout } = spawnSync(process.execPath, args, { encoding: "utf8" });
	const ms = performance.now() - fromMs;
	if (status !== 0) throw new Error(`node ${args.join(" ")} ended with ${status}`);
	return { ms, said: stdout };
}
