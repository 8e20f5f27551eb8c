// Digests: what a full store keeps of a stretch of samples, made and checked. A digest is sealed
// under the chain before it, and ends where the chain of its samples ended. Pure but for the hash.

import { type ChainEnd, chained, type StoredRecord } from "./chain.ts";
import type { LogRecord } from "./record.ts";
import { readRecord, textOf } from "./record-text.ts";
import { SAMPLE_SCALES } from "./sample-columns.ts";

export type Sample = Extract<LogRecord, { kind: "sample" }>;
export type Digest = Extract<LogRecord, { kind: "digest" }>;

/** A quarter of an hour of them. */
export const DIGEST_SAMPLES_MAX = 900;

/**
 * @param samples of one boot, without a gap in their numbers, at most DIGEST_SAMPLES_MAX
 * @param chainBefore of the record before the first
 * @param chainAfter of the last
 */
export function digestOf(
	samples: readonly Sample[],
	chainBefore: string,
	chainAfter: string,
): Digest {
	const [first] = samples;
	const last = samples.at(-1);
	if (first === undefined || last === undefined) throw new Error("a digest of nothing");
	const { seq, boot, monoMs, run } = last;
	const digest: Digest = {
		seq,
		boot,
		monoMs,
		kind: "digest",
		fromSeq: first.seq,
		fromMs: first.monoMs,
		chainBefore,
		chainAfter,
		flowLph: spreadOf(samples, "flowLph"),
		vacuumKpa: spreadOf(samples, "vacuumKpa"),
		supplyVolts: spreadOf(samples, "supplyVolts"),
		motorAmps: spreadOf(samples, "motorAmps"),
		fuelC: spreadOf(samples, "fuelC"),
		run,
		seal: "",
	};
	return { ...digest, seal: sealOf(digest) };
}

export function isSealed(digest: Digest): boolean {
	return digest.seal === sealOf({ ...digest, seal: "" });
}

/** Where the chain stands after this record, or null when the record does not follow `before`. */
export function followed(before: ChainEnd, { seq, json, chain }: StoredRecord): ChainEnd | null {
	const digest = digestIn(json);
	if (digest === null) {
		const follows = seq === before.seq + 1 && chained(before.chain, json) === chain;
		return follows ? { seq, chain } : null;
	}
	const follows =
		digest.seq === seq &&
		digest.fromSeq === before.seq + 1 &&
		digest.chainBefore === before.chain &&
		digest.chainAfter === chain &&
		isSealed(digest);
	return follows ? { seq, chain } : null;
}

/** The digest that this text is; null when it is another record, or none at all. */
export function digestIn(json: string): Digest | null {
	// Reading each record in full would take longer than its hash.
	if (!json.includes('"kind":"digest"')) return null;
	try {
		const record = readRecord(json);
		// Sealed is the one text of it: another one that reads the same was changed.
		return record?.kind === "digest" && textOf(record) === json ? record : null;
	} catch {
		return null;
	}
}

const sealOf = (unsealed: Digest) => chained(unsealed.chainBefore, textOf(unsealed));

function spreadOf(samples: readonly Sample[], key: keyof typeof SAMPLE_SCALES): Digest["flowLph"] {
	let [min, max, sum, known] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY, 0, 0];
	for (const { [key]: value } of samples) {
		if (typeof value !== "number") continue;
		min = Math.min(min, value);
		max = Math.max(max, value);
		sum += value;
		known += 1;
	}
	if (known === 0) return null;
	// A digit more than its samples have: a mean tells more than one of them.
	const scale = 10 * SAMPLE_SCALES[key];
	return { min, mean: Math.round((sum / known) * scale) / scale + 0, max, known };
}
