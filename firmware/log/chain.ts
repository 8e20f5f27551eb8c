// The chain from record to record: each value holds all that came before it, so that a gap, a
// change or a swap shows. A digest carries the chain over what it stands for. Imports Node's hash.

import { hash } from "node:crypto";

/** One record as it is stored and sent: its text and the chain up to it. */
export interface StoredRecord {
	readonly seq: number;
	readonly json: string;
	readonly chain: string;
}

/** Where a chain stands: the number of a record, and the value over it and all before. */
export interface ChainEnd {
	readonly seq: number;
	readonly chain: string;
}

/** SHA-256 over the chain before and the record's text, the first 16 bytes in hexadecimal. */
export function chained(before: string, json: string): string {
	return hash("sha256", before + json).slice(0, 32);
}
