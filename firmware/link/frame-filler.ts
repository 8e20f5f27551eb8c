// Reads as many records from the store as a log frame may hold, and fills the frame with them.
// Belongs to the store's thread; keeps how many went into the last one as a guess for the next.

import type { StoredRecord } from "../log/chain.ts";
import { BATCH_RECORDS_MAX, type EncodedBatch, encodeBatch, firstSeqOf } from "./batch.ts";
import type { BatchWant } from "./server.ts";

/** Of a frame's samples in a run that is steady. */
const GUESS_AT_FIRST = 60;
/** Read beyond the guess, so that a frame of records that pack well is filled too. */
const MORE = 1.5;
const READ_MIN = 8;

export interface RecordSource {
	/** Records from `from` on, at most `max`. */
	read(from: number, max: number): StoredRecord[];
}

export class FrameFiller {
	private guess = GUESS_AT_FIRST;

	/** @returns null when there is no record in what is wanted */
	fill(source: RecordSource, { transfer, from, offset, to }: BatchWant): EncodedBatch | null {
		for (;;) {
			const most = READ_MIN + Math.ceil(MORE * this.guess);
			const max = offset > 0 ? 1 : Math.min(BATCH_RECORDS_MAX, most);
			const records = source.read(from, max).filter((record) => firstSeqOf(record) <= to);
			if (records.length === 0) return null;
			const batch = encodeBatch(transfer, records, offset, this.guess);
			// The end of the log says nothing about how well records pack.
			if (offset > 0 || records.length < max) return batch;
			const taken = records.filter(({ seq }) => seq < batch.nextSeq).length;
			this.guess = Math.max(1, taken);
			if (taken < records.length || max === BATCH_RECORDS_MAX) return batch;
		}
	}
}
