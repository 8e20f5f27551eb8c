// How many ticks are due: so many times the clock on the wall, or as many as go into a slice of
// time. What a slow machine cannot keep up with is let go, and what it did reach is told. The time
// is an argument; pure.

import { TICK_MS } from "../../../sim/bench/session.ts";
import type { PaceNow, Speed } from "./world.ts";

/** Longer than this behind the clock is not made up for, ms of the wall. */
const BEHIND_MS_MAX = 250;
/** The speed that is told is that of so long, ms. */
const TOLD_MS = 1_000;

export class Pace {
	private speed: Speed = 1;
	private isPaused = true;
	/** Ticks to go though it is paused. */
	private steps = 0;
	/** Since when ticks count, on the wall, and how many were done since. */
	private sinceMs = 0;
	private done = 0;
	private told = { atMs: 0, ticks: 0, achieved: 0 };

	set(speed: Speed, isPaused: boolean, wallMs: number): void {
		this.speed = speed;
		this.isPaused = isPaused;
		this.steps = 0;
		this.since(wallMs);
		this.told = { atMs: wallMs, ticks: 0, achieved: 0 };
	}

	step(ticks: number): void {
		this.isPaused = true;
		this.steps += ticks;
	}

	/** Ticks that are due now; infinite where it goes as fast as it can. */
	due(wallMs: number): number {
		if (this.isPaused) return this.steps;
		if (this.speed === null) return Number.POSITIVE_INFINITY;
		return Math.floor(((wallMs - this.sinceMs) * this.speed) / TICK_MS) - this.done;
	}

	/** So many ticks have been done. */
	count(ticks: number, wallMs: number): void {
		this.done += ticks;
		this.told.ticks += ticks;
		if (this.isPaused) this.steps = Math.max(0, this.steps - ticks);
		const behind = this.speed === null ? 0 : this.due(wallMs) * (TICK_MS / this.speed);
		if (behind > BEHIND_MS_MAX) this.since(wallMs);
		const spanMs = wallMs - this.told.atMs;
		if (spanMs < TOLD_MS) return;
		this.told = { atMs: wallMs, ticks: 0, achieved: (this.told.ticks * TICK_MS) / spanMs };
	}

	/** How long until the next tick is due, ms of the wall. */
	waitMs(wallMs: number): number {
		if (this.isPaused || this.speed === null) return this.due(wallMs) > 0 ? 0 : TOLD_MS;
		const nextMs = this.sinceMs + ((this.done + 1) * TICK_MS) / this.speed;
		return Math.max(0, nextMs - wallMs);
	}

	get now(): PaceNow {
		const { isPaused, speed } = this;
		return { isPaused, speed, achieved: isPaused ? 0 : this.told.achieved };
	}

	private since(wallMs: number): void {
		this.sinceMs = wallMs;
		this.done = 0;
	}
}
