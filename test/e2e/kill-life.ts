// One life of two controllers, as a process that a test kills: the real controller, the real store
// and the rig model, each twice and each set for itself, at twenty times the pace of a clock once
// its motor is on, and as fast as it goes before. Somebody at the box acknowledges what the last
// life left behind and orders again. Before a tick's records are handed over it prints what the
// model says was pumped by then. Two, because a process costs more than what runs in it.

import { writeSync } from "node:fs";
import { join } from "node:path";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { createController } from "../../firmware/controller.ts";
import type { Command } from "../../firmware/cycle/commands.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { RingKeeper } from "../../firmware/log/ring.ts";
import { Store } from "../../firmware/log/store.ts";
import { rigTally } from "../../firmware/totals.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { ModelBoard } from "../../sim/model-board.ts";
import { RigModel } from "../../sim/rig.ts";
import { standingWorld } from "../../sim/standing-world.ts";

const [, , root = "", folder = ""] = process.argv;
const TICK_MS = 100;
const PACE = 20;
/** When somebody acknowledges at the box: the sensors have all been heard by then. */
const PRESSED_MS = 2_000;
const ORDERED_MS = 4_000;
/** Nobody lives for so long, ms. */
const END_MS = 600_000;
/** In the store of a boat samples wait for a second; here for as much of the quicker time. */
const SAMPLES_WAIT_MS = 1_000 / PACE;

const rigFile = join(root, "sim/bench/rigs/teal-willow.rig.yaml");
// Without a rest: after each interruption this pump would stand for a long while.
const text = readInputFile(rigFile).replace(/restMinutes: \d+/, "restMinutes: 0");
const rig = readRig(text, rigFile);
const pins = loadPins(root);
const say = (...words: ReadonlyArray<string | number>) => writeSync(1, `${words.join(" ")}\n`);
const pause = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

/** Lives until it is killed. @param name of its folder and its lines */
async function live(name: string): Promise<void> {
	const model = new RigModel(rig, standingWorld(rig, 0));
	const board = new ModelBoard(model, pins, 1);
	const controller = createController(rig, pins);
	const file = join(folder, name, "log.sqlite");
	const store = await Store.open(file, { samplesWaitMs: SAMPLES_WAIT_MS });
	const booted = controller.boot(0, recover(store.history, rig, store));
	let { state } = booted;
	const ring = new RingKeeper(pins, state.boot);
	const base = rigTally(state.totals);
	say(name, "boot", state.boot, base.motorMs, base.pulses);
	store.append(booted.records, []);
	board.drive(booted.outputs);
	let isPaced = false;
	for (let nowMs = TICK_MS; nowMs < END_MS; nowMs += TICK_MS) {
		model.step(TICK_MS / 1000);
		model.buttonPressed = nowMs > PRESSED_MS && nowMs <= PRESSED_MS + 300;
		const commands = nowMs === ORDERED_MS ? [orderOf(state.boot)] : [];
		const log = store.state();
		const inputs = { nowMs, readings: board.read(nowMs), commands, commissioned: false, log };
		const before = state;
		const result = controller.tick(before, inputs);
		({ state } = result);
		board.drive(result.outputs);
		if (state.motorOn || before.motorOn) {
			const pulses = inputs.readings["flow-pulse"]?.raw ?? 0;
			say(name, "at", nowMs, Math.round(model.truth.pumpOnSeconds * 1000), pulses);
		}
		store.append(result.records, ring.keep(before, inputs, result));
		if (state.motorOn && !isPaced) {
			isPaced = true;
			say(name, "pumping");
		}
		if (isPaced) await pause(TICK_MS / PACE);
		else if (state.waiting.length > 0 || nowMs % 1_000 === 0) {
			const isBehind = () => store.state().durableSeq < state.nextSeq - 1;
			while (store.failure === null && isBehind()) await pause(1);
		}
	}
	throw new Error("nobody came");
}

function orderOf(boot: number): Command {
	const polish = { tank: "port", litres: 300, attended: true, sweepFirst: false };
	return { type: "polish", id: `boot-${boot}`, polish };
}

await Promise.all(["a", "b"].map(live));
