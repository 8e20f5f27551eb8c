// What the store is given to write: records and tick inputs of the real controller in a story's
// world, cut into steps. Each narrator tells one boot of the computer aboard; the boots that the
// proof uses follow it.

import { type Controller, createController } from "../../firmware/controller.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { RingKeeper } from "../../firmware/log/ring.ts";
import type { RingBatch } from "../../firmware/log/store-worker.ts";
import { exampleRig, pins, World } from "../stories/world.ts";
import type { Step } from "./workload.ts";

export const rig = exampleRig();

export class Narrator {
	readonly world: World;
	readonly steps: Step[] = [];
	private ring: RingBatch[] = [];
	private rowsLeft: number;
	private told = 0;

	/**
	 * @param earlier records of the boots before
	 * @param lost what became of an older log; null when nothing is lost
	 * @param rows of tick inputs that are told; each takes some pages, and they are all alike
	 */
	constructor(earlier: readonly LogRecord[], lost: string | null, rows: number) {
		this.rowsLeft = rows;
		const recovery = recover(earlier, rig, { lost });
		const keeper = new RingKeeper(pins, recovery.boot);
		const standard = createController(rig, pins);
		const controller: Controller = {
			boot: (nowMs) => standard.boot(nowMs, recovery),
			tick: (state, inputs) => {
				const result = standard.tick(state, inputs);
				this.ring.push(...keeper.keep(state, inputs, result));
				return result;
			},
		};
		this.world = new World(rig, controller);
		this.tell();
	}

	/** What has been handed over. */
	get records(): readonly LogRecord[] {
		return this.world.records.slice(0, this.told);
	}

	/** What matters goes to the store in its own tick, samples in groups. */
	pass(seconds: number, group = 5): void {
		for (let i = 0; i < Math.round(seconds * 10); i += 1) {
			this.world.pass(0.1);
			const fresh = this.world.records.slice(this.told);
			if (fresh.length >= group || fresh.some(({ kind }) => kind !== "sample")) this.tell();
		}
	}

	passUntil(done: (world: World) => boolean): void {
		while (!done(this.world)) this.pass(0.1);
	}

	/** Hands over what has come since. */
	private tell(): void {
		const records = this.world.records.slice(this.told);
		if (records.length === 0) return;
		const ring = this.ring.slice(0, this.rowsLeft);
		this.ring = [];
		this.rowsLeft -= ring.length;
		this.told = this.world.records.length;
		this.steps.push({ records, ring });
	}
}

/** A run of some minutes to its goal, and a second one that is under way. */
export function firstBoot(): Narrator {
	const narrator = new Narrator([], null, 2);
	narrator.pass(1);
	narrator.world.polish({ litres: 3.5 });
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.passUntil(({ name }) => name === "idle");
	narrator.world.polish();
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.pass(4);
	return narrator;
}

/** Finds the second run interrupted, and runs once more. */
export function secondBoot(first: Narrator): Narrator {
	const narrator = new Narrator(first.records, null, 2);
	narrator.pass(1);
	narrator.world.pressAcknowledge();
	narrator.pass(2);
	narrator.world.polish({ litres: 0.3 });
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.passUntil(({ name }) => name === "idle");
	return narrator;
}

/** Enough commits for a checkpoint, and some after it. */
export function shortBoot(): Narrator {
	const narrator = new Narrator([], null, 1);
	narrator.pass(1);
	narrator.world.polish();
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.pass(22, 1);
	return narrator;
}

/** Of all their records, first to last. */
export const textsOf = (...boots: readonly Narrator[]) =>
	boots.flatMap(({ records }) => records.map(textOf));
