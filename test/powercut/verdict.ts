// Judges every disk that a power cut may leave of one play, and says what there was to judge. One
// seed draws all subsets and tears, so that a fault comes back.

import { type Cut, cutsOf } from "./cuts.ts";
import { type Expected, faultsAfter } from "./judge.ts";
import type { Happening } from "./live-files.ts";

const SEED = 20261126;
/** As many are shown. */
const FAULTS_MAX = 20;

export interface Verdict {
	readonly faults: readonly string[];
	readonly distinct: number;
}

export interface Bounds {
	/** Calls before this one are only played. */
	readonly from?: number;
	/** Ends at so many faults. */
	readonly faultsMax?: number;
}

/** @param root of the disk that is laid out anew for each state */
export function judgeAll(
	title: string,
	happenings: readonly Happening[],
	expected: Expected,
	root: string,
	{ from = 0, faultsMax = FAULTS_MAX }: Bounds = {},
): Verdict {
	const began = performance.now();
	const counts = { prefixes: 0, states: 0, distinct: 0 };
	const faults: string[] = [];
	for (const cut of cutsOf(happenings, SEED, from, counts)) {
		for (const fault of faultsAfter(cut, root, expected)) {
			faults.push(`after call ${cut.prefix} (${cut.fates}): ${fault}`);
		}
		if (faults.length >= faultsMax) break;
	}
	const { prefixes, states, distinct } = counts;
	const seconds = ((performance.now() - began) / 1000).toFixed(1);
	console.log(
		`${title}: ${prefixes} prefixes, ${states} states, ${distinct} of them distinct, ` +
			`${faults.length} faults, ${seconds} s`,
	);
	return { faults, distinct };
}

/** Some of the disks that a cut may leave: one of `every`. */
export function someCuts(happenings: readonly Happening[], every: number): Cut[] {
	const counts = { prefixes: 0, states: 0, distinct: 0 };
	const cuts = [...cutsOf(happenings, SEED, 0, counts)];
	return cuts.filter((_, i) => i % every === every - 1);
}
