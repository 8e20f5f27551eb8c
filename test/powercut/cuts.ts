// Every moment at which the supply may be cut, with what may then be on the disk. After each call:
// all subsets of what is pending while that is no more than eight changes, 64 drawn subsets beyond;
// and torn writes, drawn too. Equal images count once, with the most that was told by then.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { Disk, type Fate, type Image, sectorsOf, textOfFate } from "./disk.ts";
import type { Happening } from "./live-files.ts";

const EXHAUSTIVE_MAX = 8;
const DRAWN = 64;
/** Of each kind, after each call. */
const TORN = 2;

export interface Cut {
	/** Calls that had ended. */
	readonly prefix: number;
	/** Highest number that the store had called durable; 0 for none. */
	readonly ackedSeq: number;
	readonly image: Image;
	/** Fates of what was pending, for a report. */
	readonly fates: string;
}

export interface Counts {
	prefixes: number;
	states: number;
	distinct: number;
}

/**
 * Each distinct state, in the order of the cuts.
 * @param from calls before this one are only played; answers count from here on
 * @param counts filled in before the first state comes
 */
export function* cutsOf(
	happenings: readonly Happening[],
	seed: number,
	from: number,
	counts: Counts,
): Generator<Cut> {
	// Who comes last with an image knows of the most answers.
	const last = new Map<string, number>();
	let number = 0;
	for (const { disk, fates } of choicesOf(happenings, seed, from)) {
		last.set(disk.fingerprint(fates), number);
		number += 1;
	}
	counts.prefixes += happenings.length - from;
	counts.states += number;
	counts.distinct += last.size;
	const chosen = new Set(last.values());
	number = 0;
	for (const { disk, fates, prefix, ackedSeq } of choicesOf(happenings, seed, from)) {
		if (chosen.has(number)) {
			const text = fates.map(textOfFate).join(" ");
			yield { prefix, ackedSeq, image: disk.image(fates), fates: text };
		}
		number += 1;
	}
}

interface Choice {
	readonly disk: Disk;
	readonly fates: readonly Fate[];
	readonly prefix: number;
	readonly ackedSeq: number;
}

function* choicesOf(
	happenings: readonly Happening[],
	seed: number,
	from: number,
): Generator<Choice> {
	const disk = new Disk();
	let ackedSeq = 0;
	for (const [i, happening] of happenings.entries()) {
		disk.take(happening);
		if (i < from) continue;
		if (happening.type === "ack") ackedSeq = happening.seq;
		const prefix = i + 1;
		for (const fates of fatesOf(disk, seed + prefix)) yield { disk, fates, prefix, ackedSeq };
	}
}

function fatesOf({ pending }: Disk, seed: number): Fate[][] {
	const random = xoroshiro128plus(seed);
	const below = (limit: number) => uniformInt(random, 0, limit - 1);
	const coin = (): Fate => (below(2) === 0 ? "lost" : "kept");
	const count = pending.length;
	const subsets: Fate[][] = [];
	if (count <= EXHAUSTIVE_MAX) {
		for (let bits = 0; bits < 2 ** count; bits += 1) {
			subsets.push(pending.map((_, i) => ((bits >> i) & 1 ? "kept" : "lost")));
		}
	} else {
		subsets.push(pending.map(() => "lost"));
		subsets.push(pending.map(() => "kept"));
		// One that is missing, or there, alone: what a drawn subset of many hardly ever is.
		const odd = below(count);
		subsets.push(pending.map((_, i) => (i === odd ? "lost" : "kept")));
		subsets.push(pending.map((_, i) => (i === odd ? "kept" : "lost")));
		while (subsets.length < DRAWN) subsets.push(pending.map(coin));
	}
	const newest = pending.at(-1);
	if (newest === undefined) return subsets;
	const isTorn = () => below(2) === 1;
	const torn = (i: number, isThere: (sector: number) => boolean): Fate => {
		const change = pending[i];
		const sectors = change === undefined ? 1 : sectorsOf(change);
		return sectors === 1 ? coin() : Array.from({ length: sectors }, (_, at) => isThere(at));
	};
	for (let i = 0; i < TORN; i += 1) {
		const head = below(sectorsOf(newest));
		const rest = pending.slice(0, -1);
		subsets.push([...rest.map((): Fate => "kept"), torn(count - 1, (at) => at <= head)]);
		subsets.push([...rest.map((): Fate => "kept"), torn(count - 1, isTorn)]);
		subsets.push(pending.map((_, at) => (below(2) === 0 ? coin() : torn(at, isTorn))));
	}
	return subsets;
}
