// Fetches what the archive does not have yet of a controller's log. Frames are put in order,
// checked and durable here before more are asked for, so a cut at any moment loses nothing and
// repeats nothing.

import { InputError } from "../../firmware/config/input-error.ts";
import { type Batch, type RecordPart, textOfParts } from "../../firmware/link/batch.ts";
import type { LogPause, Result } from "../../firmware/link/protocol.ts";
import { chained, type StoredRecord } from "../../firmware/log/chain.ts";
import type { LinkClient } from "../link/client.ts";
import type { Archive } from "./archive.ts";

const FRAMES = 16;
/** Nothing came for so long: what was under way is lost. */
const IDLE_MS = 1_000;
const TRIES = 10;

export interface Pulled {
	readonly storeId: string;
	readonly rig: string;
	/** Records that were new. */
	readonly records: number;
	readonly lastSeq: number;
}

/** @param onProgress told after each window of frames */
export async function pull(
	client: LinkClient,
	{ storeId, rig }: Result<"hello">,
	archive: Archive,
	onProgress: (seq: number, durableSeq: number) => void,
): Promise<Pulled> {
	const begun = archive.last(storeId);
	let { seq, chain } = begun ?? { seq: 0, chain: storeId };
	const first = seq;
	// What becomes durable while this runs is left for the next pull.
	const { durableSeq } = await client.call("status", {});
	if (durableSeq < seq) {
		const found = `record ${durableSeq} as its last, where the archive has record ${seq}`;
		const allowed = "the controller whose log this was: it has lost records, or is an older copy";
		throw new InputError([{ file: storeId, found, allowed }]);
	}
	for (let transfer = 1, tries = 0; seq < durableSeq && tries < TRIES; transfer += 1) {
		const records = await fetchWindow(client, transfer, { from: seq + 1, to: durableSeq, chain });
		tries = records.length > 0 ? 0 : tries + 1;
		const end = records.at(-1)?.chain ?? chain;
		archive.add(storeId, { items: records.map(({ json }) => json), chain: end });
		({ seq, chain } = records.at(-1) ?? { seq, chain });
		onProgress(seq, durableSeq);
	}
	return { storeId, rig, records: seq - first, lastSeq: seq };
}

interface Wanted {
	readonly from: number;
	readonly to: number;
	readonly chain: string;
}

/** A window of frames, as far as it came without a gap. */
async function fetchWindow(
	client: LinkClient,
	transfer: number,
	{ from, to, chain }: Wanted,
): Promise<StoredRecord[]> {
	const records: StoredRecord[] = [];
	let parts: Uint8Array[] = [];
	let last = chain;
	const add = (seq: number, json: string) => {
		if (seq !== from + records.length) return;
		last = chained(last, json);
		records.push({ seq, json, chain: last });
	};
	const take = (frame: Batch | RecordPart) => {
		if (frame.transfer !== transfer) return;
		if (frame.type === "batch") {
			for (const item of frame.items) {
				if (item.type === "text") add(item.seq, item.text);
				else item.run.texts().forEach((text, i) => void add(item.run.fromSeq + i, text));
			}
			return;
		}
		if (frame.offset === 0) parts = [];
		const held = parts.reduce((sum, { length }) => sum + length, 0);
		if (held !== frame.offset) return;
		parts.push(frame.bytes);
		if (held + frame.bytes.length < frame.total) return;
		add(frame.seq, textOfParts(frame.seq, Buffer.concat(parts)));
	};
	await new Promise<void>((resolve, reject) => {
		let timer = setTimeout(resolve, IDLE_MS);
		const onFrame = (frame: Batch | RecordPart) => {
			timer.refresh();
			take(frame);
		};
		const onPause = (pause: LogPause) => {
			if (pause.transfer !== transfer) return;
			clearTimeout(timer);
			resolve();
		};
		client.listener = { onFrame, onPause };
		client.call("log.read", { transfer, from, to, frames: FRAMES }).catch((error) => {
			clearTimeout(timer);
			reject(error);
		});
		timer = timer.refresh();
	});
	client.listener = null;
	return records;
}
