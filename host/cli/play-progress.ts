// How far a row of scenarios has come, as one line on a terminal's standard error: a bar, how many
// are done, simulated time over that of the wall's clock, what is being played; and what all took.

import pc from "picocolors";
import type { BenchResult } from "../../sim/bench/judge.ts";
import { fitted } from "../report/cell-width.ts";
import { tell } from "./progress.ts";

const WIDTH = 79;
const BAR = 12;

export class PlayProgress {
	private readonly all: number;
	private readonly beganNs = process.hrtime.bigint();
	private readonly running: string[] = [];
	private done = 0;
	private simulatedSeconds = 0;

	constructor(all: number) {
		this.all = all;
	}

	begin(name: string): void {
		this.running.push(name);
		this.show();
	}

	end(name: string, { simulatedSeconds }: BenchResult): void {
		this.running.splice(this.running.indexOf(name), 1);
		this.done += 1;
		this.simulatedSeconds += simulatedSeconds;
		this.show();
	}

	/** Says what it took. */
	close(): void {
		tell(`${this.done} played in ${this.wallSeconds.toFixed(1)} s, ${this.rate()}\n`);
	}

	get wallSeconds(): number {
		return Number(process.hrtime.bigint() - this.beganNs) / 1e9;
	}

	private show(): void {
		const full = Math.floor((BAR * this.done) / this.all);
		const bar = `[${"#".repeat(full).padEnd(BAR, "-")}]`;
		const count = `${String(this.done).padStart(String(this.all).length)} of ${this.all}`;
		const text = `${bar} ${count}, ${this.rate()}; `;
		const names = fitted(this.running.join(", "), WIDTH - text.length);
		tell(`${text}${pc.dim(names)}`);
	}

	private rate(): string {
		return `${(this.simulatedSeconds / this.wallSeconds).toFixed(0)} times real time`;
	}
}
