// Plays many scenarios at once: on threads, or each on an emulated board in a process of its own,
// as many as the machine has cores. Answers come in the order asked for.

import { availableParallelism } from "node:os";
import { fileURLToPath } from "node:url";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { BoardKind } from "../../sim/bench/session.ts";
import type { Play, Played } from "./play.ts";
import { playedFrom } from "./play.ts";
import { type Dealing, dealOut, type Hand, threadHand } from "./worker-pool.ts";

export interface Stage extends Partial<Dealing<Play, Played>> {
	readonly board: BoardKind;
	readonly pins: PinMap;
	/** Folder of the built command, for callers that run from source. */
	readonly built?: URL;
	readonly hands?: number;
}

/** @throws Error that names the scenario, when a thread or process fails */
export async function playAll(plays: readonly Play[], stage: Stage): Promise<Played[]> {
	const { built = new URL(".", import.meta.url), board, pins } = stage;
	const count = Math.min(stage.hands ?? availableParallelism(), plays.length);
	const hand =
		board === "model"
			? () => threadHand<Play, Played>(new URL("bench-worker.js", built), { pins })
			: await emulatedHand(pins, new URL("../../sim/emulated-board/child.js", built));
	const hands = Array.from({ length: count }, hand);
	return dealOut(plays, hands, { nameOf: ({ name }) => name, ...stage });
}

/** Who may take longest begins first, so that no thread ends long after the others. */
export function longestFirst(plays: readonly Play[]): Play[] {
	return [...plays].sort((a, b) => b.scenario.hoursMax - a.scenario.hoursMax);
}

/** A process for each run, since the clock that it fakes is a process's own. */
async function emulatedHand(pins: PinMap, child: URL): Promise<() => Hand<Play, Played>> {
	const { runInProcess } = await import("../../sim/emulated-board/process.ts");
	return () => ({
		take: async (play) => {
			const { scenario, rig, seed } = play;
			const began = process.hrtime.bigint();
			const run = await runInProcess({ scenario, rig, pins, seed }, fileURLToPath(child));
			return playedFrom(play, run, began);
		},
		end: async () => {},
	});
}
