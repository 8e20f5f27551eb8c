// Fetches what the archive does not have yet of a controller's log. Every batch is checked and
// durable here before the next is asked for, so a cut at any moment loses nothing and repeats
// nothing.

import { InputError } from "../../firmware/config/input-error.ts";
import type { Result } from "../../firmware/link/protocol.ts";
import type { StoredRecord } from "../../firmware/log/database.ts";
import type { LinkClient } from "../link/client.ts";
import type { Archive } from "./archive.ts";

export interface Pulled {
	readonly storeId: string;
	readonly rig: string;
	/** Records that were new. */
	readonly records: number;
	readonly lastSeq: number;
}

/** @param onProgress told after each batch */
export async function pull(
	client: LinkClient,
	{ storeId, rig }: Result<"hello">,
	archive: Archive,
	onProgress: (seq: number, durableSeq: number) => void,
): Promise<Pulled> {
	let seq = archive.last(storeId)?.seq ?? 0;
	const first = seq;
	// What becomes durable while this runs is left for the next pull.
	const { durableSeq } = await client.call("status", {});
	if (durableSeq < seq) {
		const found = `record ${durableSeq} as its last, where the archive has record ${seq}`;
		const allowed = "the controller whose log this was: it has lost records, or is an older copy";
		throw new InputError([{ file: storeId, found, allowed }]);
	}
	while (seq < durableSeq) {
		const { records, large } = await client.call("log.read", { from: seq + 1 });
		if (large !== null) records.push(await fetchLarge(client, large));
		if (records.length === 0) break;
		const chain = records.at(-1)?.chain ?? "";
		archive.add(storeId, { items: records.map(({ json }) => json), chain });
		seq = records.at(-1)?.seq ?? seq;
		onProgress(seq, durableSeq);
	}
	return { storeId, rig, records: seq - first, lastSeq: seq };
}

/** A record that does not fit a frame, part by part. */
async function fetchLarge(client: LinkClient, seq: number): Promise<StoredRecord> {
	const parts: Buffer[] = [];
	for (let offset = 0; ; ) {
		const { base64, bytes, chain } = await client.call("log.part", { seq, offset });
		const part = Buffer.from(base64, "base64");
		parts.push(part);
		offset += part.length;
		if (offset >= bytes || part.length === 0) {
			return { seq, json: Buffer.concat(parts).toString("utf8"), chain };
		}
	}
}
