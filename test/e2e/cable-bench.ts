// What the tests of one file share: a store that is served over a cable between two
// pseudo-terminals, and processes that end with the test that started them.

import { type ChildProcess, type SpawnOptions, spawn } from "node:child_process";
import { afterAll, afterEach, beforeAll } from "vitest";
import type { LogRecord } from "../../firmware/log/record.ts";
import { NoisyCable } from "./noisy-cable.ts";
import { ServedStore } from "./served-store.ts";

/** As good as no noise: one byte in a thousand million. */
const SHARE = 1e-9;

export class CableBench {
	readonly cable: NoisyCable;
	private store: ServedStore | null = null;
	private readonly children: ChildProcess[] = [];

	/** To be made once in a file, outside of its tests. */
	constructor(seed: number, records: readonly LogRecord[]) {
		this.cable = new NoisyCable({ seed, share: SHARE });
		beforeAll(async () => {
			this.store = await ServedStore.of(records);
			await this.cable.plugIn();
			await this.store.serveSerial(this.cable.aboard);
		}, 30_000);
		afterAll(async () => {
			this.cable.close();
			await this.store?.close();
		});
		afterEach(() => {
			for (const child of this.children.splice(0)) child.kill("SIGKILL");
		});
	}

	get served(): ServedStore {
		if (this.store === null) throw new Error("the tests have not begun");
		return this.store;
	}

	spawn(program: string, args: readonly string[], options: SpawnOptions): ChildProcess {
		const child = spawn(program, [...args], options);
		this.children.push(child);
		return child;
	}
}
