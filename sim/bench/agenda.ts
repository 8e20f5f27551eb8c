// What is to happen in a scenario and when: entries bound to a time, or to a trip or state and a
// time after it. Whole milliseconds; pure but for its own list.

import type { When } from "./scenario.ts";

interface Entry {
	readonly when: When;
	readonly act: (nowMs: number) => void;
	spent: boolean;
}

export class Agenda {
	private readonly entries: Entry[] = [];
	private due: Array<{ atMs: number; act: (nowMs: number) => void }> = [];
	/** The earliest time in `due`; infinite while nothing is. */
	private nextMs = Number.POSITIVE_INFINITY;

	add(when: When, act: (nowMs: number) => void): void {
		const timed = when.atSeconds !== undefined;
		if (timed) this.at(Math.round((when.atSeconds ?? 0) * 1000), act);
		else this.entries.push({ when, act, spent: false });
	}

	at(atMs: number, act: (nowMs: number) => void): void {
		this.due.push({ atMs, act });
		this.nextMs = Math.min(this.nextMs, atMs);
	}

	/** Something happened that entries may wait for. */
	notice(kind: "uponTrip" | "uponState" | "uponProof", name: string, nowMs: number): void {
		for (const entry of this.entries) {
			if (entry.spent || entry.when[kind] !== name) continue;
			entry.spent = !entry.when.everyTime;
			this.at(nowMs + Math.round(entry.when.afterSeconds * 1000), entry.act);
		}
	}

	isDue(nowMs: number): boolean {
		return nowMs >= this.nextMs;
	}

	/** Does what is due, in the order of its times; entries of one time in the order given. */
	run(nowMs: number): void {
		if (!this.isDue(nowMs)) return;
		const now = this.due.filter(({ atMs }) => atMs <= nowMs);
		this.due = this.due.filter(({ atMs }) => atMs > nowMs);
		this.nextMs = Math.min(...this.due.map(({ atMs }) => atMs));
		now.sort((a, b) => a.atMs - b.atMs);
		for (const { act } of now) act(nowMs);
	}

	get pending(): number {
		return this.due.length;
	}
}
