// Seeded dice for the campaign's draws. Each subject throws its own, so that a new question about
// the sea changes no drawn rig. Imports the generator only.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";

const STEPS = 1_000_000;

export class Dice {
	private readonly random: ReturnType<typeof xoroshiro128plus>;

	constructor(seed: number, subject: string) {
		this.random = xoroshiro128plus(mix(seed, subject));
	}

	/** Evenly from 0 to 1. */
	share(): number {
		return uniformInt(this.random, 0, STEPS) / STEPS;
	}

	/** Evenly between two numbers. */
	between(min: number, max: number): number {
		return min + (max - min) * this.share();
	}

	/** Between two positive numbers, each doubling as likely as the next. */
	scaled(min: number, max: number): number {
		return min * (max / min) ** this.share();
	}

	/** A whole number, both ends included. */
	whole(min: number, max: number): number {
		return uniformInt(this.random, min, max);
	}

	/** True so often of a hundred times. */
	chance(percent: number): boolean {
		return this.share() * 100 < percent;
	}

	one<const T>(list: readonly [T, ...T[]]): T {
		return list[this.whole(0, list.length - 1)] ?? list[0];
	}
}

/** FNV-1a of the subject on top of the seed (Fowler, Noll and Vo; constants from memory). */
function mix(seed: number, subject: string): number {
	let hash = (0x811c9dc5 ^ seed) >>> 0;
	for (const letter of subject) {
		hash = Math.imul(hash ^ letter.charCodeAt(0), 0x01000193) >>> 0;
	}
	return hash | 0;
}

/** As a person would write it into a file: three digits. */
export const rounded = (value: number): number => Number(value.toPrecision(3));
