// The serial line between computer and board, and the bytes that it loses: each byte by itself, by
// a seeded chance. A message of many bytes is lost with any one of them.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { RigModel } from "./rig.ts";

const MILLIONS = 1_000_000;
/** Seeds that are neighbours begin alike: spread out by the golden ratio's bits. */
const SPREAD = 0x9e37_79b1;

export class LossyLine {
	private readonly model: RigModel;
	private readonly chance: () => number;

	constructor(model: RigModel, seed: number) {
		this.model = model;
		const random = xoroshiro128plus(Math.imul(seed + 1, SPREAD));
		this.chance = () => uniformInt(random, 0, MILLIONS - 1) / MILLIONS;
	}

	get isLossy(): boolean {
		return this.model.has("serial-bytes-lost");
	}

	/** Whether a message of so many bytes is lost. */
	loses(bytes: number): boolean {
		return this.chance() >= this.arrives(bytes);
	}

	/** Whether all of so many tries with a message are lost. */
	losesAll(tries: number, bytes: number): boolean {
		return this.chance() < (1 - this.arrives(bytes)) ** tries;
	}

	private arrives(bytes: number): number {
		return (1 - this.model.sizeOf("serial-bytes-lost") / 100) ** bytes;
	}
}
