// How late ticks are while a hostile client floods the link, against how late they are without it:
// the real controller with a rig model on a real socket, quiet and flooded stretches in turn, so
// that what else the machine does falls on both.

import { type ChildProcess, fork } from "node:child_process";
import { join } from "node:path";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { LinkServer } from "../../firmware/link/server.ts";
import { Store } from "../../firmware/log/store.ts";
import { runController, TICK_MS } from "../../firmware/main.ts";
import { logicHere } from "../../host/cli/logic-here.ts";
import { RealTimeModel } from "../../host/cli/real-time-model.ts";
import { LinkClient } from "../../host/link/client.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { SHOWN } from "../stories/shown-rig.ts";
import { type Figure, median, percentile } from "./table.ts";

/** The most by which the flood may raise the 99th percentile. */
const GOAL = 1.5;
const STRETCHES = 10;
const STRETCH_MS = 3_000;

interface Flood {
	readonly figure: Figure;
	readonly rows: string[][];
}

export async function timeUnderFlood(root: string, scratch: string): Promise<Flood> {
	const rigFile = join(root, "sim/bench/rigs/teal-willow.rig.yaml");
	const rig = readRig(readInputFile(rigFile), rigFile);
	const pins = loadPins(root);
	const store = await Store.open(join(scratch, "flood.sqlite"));
	/** The controller's own: its first look at the clock. */
	let originMs: number | null = null;
	const clock = () => {
		const nowMs = performance.now();
		originMs ??= nowMs;
		return nowMs;
	};
	const board = new RealTimeModel(rig, pins);
	const running = runController({
		rig,
		pins,
		board,
		store,
		clock,
		logic: logicHere(),
		shown: SHOWN,
	});
	const server = new LinkServer(running);
	const path = join(scratch, "flood");
	const listener = await listenLocally(path);
	serveClients(listener, server);
	const late: { quiet: number[]; flooded: number[] } = { quiet: [], flooded: [] };
	let into: number[] | null = null;
	let deadline = 1;
	// As the shell reckons it: a deadline that was missed is not made up for.
	running.everyTick(() => {
		const nowMs = performance.now() - (originMs ?? 0);
		into?.push(nowMs - deadline * TICK_MS);
		deadline = Math.max(deadline, Math.floor(nowMs / TICK_MS)) + 1;
	});
	running.everyTick(() => server.everyTick());
	const child = fork(new URL("flood-child.js", import.meta.url), [path]);
	const client = await LinkClient.open(path);
	const answerMs: number[] = [];
	let told = { bytes: 0, cuts: 0 };
	try {
		for (let n = 0; n < 2 * STRETCHES; n += 1) {
			const floods = n % 2 === 1;
			if (floods) child.send("pour");
			await sleep(TICK_MS);
			into = floods ? late.flooded : late.quiet;
			if (floods) answerMs.push(await timeOf(() => client.call("status", {})));
			await sleep(STRETCH_MS);
			into = null;
			if (floods) told = await stopped(child);
		}
	} finally {
		child.kill();
		await client.close();
		listener.close();
		await running.end("bench");
	}
	return account(late, told, answerMs);
}

function account(
	{ quiet, flooded }: { quiet: number[]; flooded: number[] },
	told: { bytes: number; cuts: number },
	answerMs: readonly number[],
): Flood {
	const [without, under] = [percentile(quiet, 0.99), percentile(flooded, 0.99)];
	const value = under / without;
	const row = (what: string, list: number[]) => [
		what,
		String(list.length),
		...[0.5, 0.99, 1].map((share) => percentile(list, share).toFixed(2)),
	];
	const seconds = (STRETCHES * STRETCH_MS) / 1_000;
	const poured = `${(told.bytes / 1e6 / seconds).toFixed(1)} MB/s, ${told.cuts} times cut off`;
	const rows = [
		["tick late by, ms", "ticks", "median", "99 %", "most"],
		row("quiet", quiet),
		row("flooded", flooded),
		["the flood", poured, "", "", ""],
		["another client's answer, ms", "", median([...answerMs]).toFixed(1), "", ""],
	];
	const shown = `${value.toFixed(2)} times as late at the 99th percentile`;
	const figure = {
		...{ what: "ticks under a flood", shown, goal: `at most ${GOAL}`, met: value <= GOAL },
		...{ peer: `${without.toFixed(1)} ms late when quiet`, ratio: value },
	};
	return { figure, rows };
}

function stopped(child: ChildProcess): Promise<{ bytes: number; cuts: number }> {
	return new Promise((resolve) => {
		child.once("message", (told) => resolve(told as { bytes: number; cuts: number }));
		child.send("stop");
	});
}

async function timeOf(work: () => Promise<unknown>): Promise<number> {
	const from = performance.now();
	await work();
	return performance.now() - from;
}

const sleep = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms));
