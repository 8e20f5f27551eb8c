// Digests: a stretch of samples and its digest tell the same of the chain and the run, a digest
// that was changed anywhere shows, and what it says of a quantity is what its samples said.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type ChainEnd, chained, type StoredRecord } from "../../firmware/log/chain.ts";
import {
	type Digest,
	digestOf,
	followed,
	isSealed,
	type Sample,
} from "../../firmware/log/digest.ts";
import { readRecord, textOf } from "../../firmware/log/record-text.ts";
import { LogStory } from "./log-story.ts";

/** What the properties draw from. */
const SEED = 20_261_126;

const BEFORE = "0123456789abcdef0123456789abcdef";

function stretch(seconds: number): { samples: Sample[]; after: string } {
	const story = new LogStory();
	story.boot();
	const samples = story.samples(seconds) as Sample[];
	const after = samples.reduce((chain, sample) => chained(chain, textOf(sample)), BEFORE);
	return { samples, after };
}

const stored = (digest: Digest): StoredRecord => ({
	seq: digest.seq,
	json: textOf(digest),
	chain: digest.chainAfter,
});
const before: ChainEnd = { seq: 1, chain: BEFORE };

describe("a digest", () => {
	const { samples, after } = stretch(120);
	const digest = digestOf(samples, BEFORE, after);

	it("stands in the chain where its samples stood", () => {
		expect(digest).toMatchObject({ seq: 121, fromSeq: 2, fromMs: 1_000, monoMs: 120_000 });
		expect(digest.run).toEqual(samples.at(-1)?.run);
		expect(followed(before, stored(digest))).toEqual({ seq: 121, chain: after });
	});

	it("keeps least, mean and greatest of what was known, and nothing of what was not", () => {
		const flow = samples.map(({ flowLph }) => Number(flowLph));
		const mean = flow.reduce((sum, value) => sum + value, 0) / flow.length;
		const { min, max, known } = digest.flowLph ?? { min: 0, max: 0, known: 0 };
		expect([min, max, known]).toEqual([Math.min(...flow), Math.max(...flow), 120]);
		expect(digest.flowLph?.mean).toBeCloseTo(mean, 1);
		expect(digest.supplyVolts?.known).toBe(118);
		expect(digest.fuelC).toBeNull();
	});

	it("comes back from its text as it went, and sealed", () => {
		expect(isSealed(digest)).toBe(true);
		expect(readRecord(textOf(digest))).toEqual(digest);
	});

	it("that was changed in any letter of its text does not follow any more", () => {
		const { json, ...rest } = stored(digest);
		const letters = fc.record({
			at: fc.nat(json.length - 1),
			letter: fc.constantFrom(..."0123456789abcdef-."),
		});
		fc.assert(
			fc.property(letters, ({ at, letter }) => {
				const changed = json.slice(0, at) + letter + json.slice(at + 1);
				const end = followed(before, { ...rest, json: changed });
				expect(end === null).toBe(changed !== json);
			}),
			{ seed: SEED, numRuns: 2_000 },
		);
	});

	it("that ends elsewhere, or follows something else, shows", () => {
		const row = stored(digest);
		expect(followed({ seq: 1, chain: after }, row)).toBeNull();
		expect(followed({ seq: 2, chain: BEFORE }, row)).toBeNull();
		expect(followed(before, { ...row, chain: BEFORE })).toBeNull();
		expect(followed(before, { ...row, seq: 120 })).toBeNull();
	});
});
