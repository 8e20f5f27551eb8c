// Puts a record together that came in parts, in any order and more than once. Pure but for what it
// keeps: a few records of a megabyte at most.

import { type Batch, type RecordPart, textOfParts } from "../../firmware/link/batch.ts";

/** Records that may be incomplete at one time; the oldest is given up for another. */
const OPEN_MAX = 4;

interface Open {
	readonly total: number;
	readonly bytes: Uint8Array;
	/** Where each part that came begins, and how long it is. */
	readonly got: Map<number, number>;
}

export class Parts {
	private readonly open = new Map<string, Open>();

	/**
	 * @returns the record as a batch of its own when it is complete, else null
	 * @throws BadBytes when its parts do not make that record
	 */
	take({ transfer, seq, offset, total, chain, bytes }: RecordPart): Batch | null {
		const key = `${seq} ${chain} ${total}`;
		const record = this.open.get(key) ?? this.begin(key, total);
		record.bytes.set(bytes, offset);
		record.got.set(offset, Math.max(bytes.length, record.got.get(offset) ?? 0));
		if (!isWhole(record)) return null;
		this.open.delete(key);
		const text = textOfParts(seq, record.bytes);
		const items = [{ type: "text", seq, text }] as const;
		return { type: "batch", transfer, fromSeq: firstSeqOf(seq, text), toSeq: seq, chain, items };
	}

	private begin(key: string, total: number): Open {
		const [oldest] = this.open.keys();
		if (this.open.size >= OPEN_MAX && oldest !== undefined) this.open.delete(oldest);
		const record = { total, bytes: new Uint8Array(total), got: new Map() };
		this.open.set(key, record);
		return record;
	}
}

function isWhole({ total, got }: Open): boolean {
	let end = 0;
	for (const [offset, length] of [...got].sort(([a], [b]) => a - b)) {
		if (offset > end) return false;
		end = Math.max(end, offset + length);
	}
	return end >= total;
}

/** A digest stands for the samples before it too. */
function firstSeqOf(seq: number, text: string): number {
	const { kind, fromSeq } = JSON.parse(text) as { kind?: unknown; fromSeq?: unknown };
	return kind === "digest" && typeof fromSeq === "number" ? fromSeq : seq;
}
