// Fetches what the archive does not have yet of a controller's log. What is handed on is checked
// and durable here at once, so a cut at any moment loses nothing and repeats nothing: the next try
// goes on behind the last record.

import { InputError } from "../../firmware/config/input-error.ts";
import type { Batch } from "../../firmware/link/batch.ts";
import { NoAnswer } from "../link/client.ts";
import { type FetchEnd, LogFetch } from "../link/fetching.ts";
import type { SteadyLink } from "../link/steady-link.ts";
import type { Archive } from "./archive.ts";
import type { Sighting } from "./dating.ts";
import { type WindowCounts, WindowPull } from "./window-pull.ts";

/** What a pull has got so far. */
export interface Pulled extends WindowCounts {
	readonly storeId: string;
	readonly rig: string;
	/** Records that were new; a digest counts as the samples that it stands for. */
	readonly records: number;
	readonly samples: number;
	readonly runs: number;
	readonly trips: number;
	readonly lastSeq: number;
	/** What the controller had at the last word. */
	readonly durableSeq: number;
	/** Log bytes over the line, without their framing. */
	readonly bytes: number;
	/** How often the line was lost and came back. */
	readonly losses: number;
	/** All that was durable when the line was last opened is here, windows too. */
	readonly isComplete: boolean;
}

/** The line that is pulled over, and how it comes back. */
export type PullLink = Pick<SteadyLink, "client" | "hello" | "again">;

export interface PullParts {
	readonly link: PullLink;
	readonly archive: Archive;
	/** Goes on with what becomes durable. */
	readonly follow: boolean;
	/** Ends it early. */
	readonly signal: AbortSignal;
	/** Ends it as well, but for the window that is under way: it would begin anew the next time. */
	readonly turn?: AbortSignal;
	readonly onProgress: (pulled: Pulled) => void;
	readonly onLost: () => void;
}

/** How far this computer's clock may be off, ms: what `lees clock` takes it for. */
const HOST_CLOCK_MS = 2_000;

/** @throws InputError when the log is not the archive's, or the line stays away */
export async function pull(parts: PullParts): Promise<Pulled> {
	const { link, archive, follow, signal, turn, onProgress, onLost } = parts;
	const ending = turn === undefined ? signal : AbortSignal.any([signal, turn]);
	const { storeId, rig } = link.hello;
	let pulled: Pulled = {
		...{ storeId, rig, records: 0, samples: 0, runs: 0, trips: 0, bytes: 0, losses: 0 },
		lastSeq: archive.last(storeId)?.seq ?? 0,
		durableSeq: 0,
		windows: 0,
		windowsWanted: 0,
		windowsLeftOut: [],
		isComplete: false,
	};
	let seen: Sighting | null = null;
	// Where a boot's own record never became durable, the next one has the same number: what was
	// seen of it would date another.
	const keepSighting = (isOfBoot: (boot: number) => boolean) => {
		if (seen === null || !isOfBoot(seen.boot)) return;
		archive.sight(storeId, seen);
		seen = null;
	};
	const onBatches = (batches: readonly Batch[]) => {
		// Another pull may fill the same archive at the same time.
		const before = archive.last(storeId)?.seq ?? 0;
		const records = archive.add(storeId, ...batches.map(arrived));
		const lastSeq = archive.last(storeId)?.seq ?? before;
		const counts = countsOf(batches, before);
		keepSighting((boot) => batches.some((batch) => hasBoot(batch, boot)));
		pulled = {
			...pulled,
			records: pulled.records + records,
			samples: pulled.samples + counts.samples,
			runs: pulled.runs + counts.runs,
			trips: pulled.trips + counts.trips,
			lastSeq,
		};
		onProgress(pulled);
	};
	const learn = (durableSeq: number) => {
		pulled = { ...pulled, durableSeq };
	};
	const onBytes = (bytes: number) => {
		pulled = { ...pulled, bytes: pulled.bytes + bytes };
	};
	const windows = new WindowPull(archive, storeId, {
		signal,
		...(turn !== undefined && { turn }),
		onBytes: (bytes) => {
			onBytes(bytes);
			onProgress(pulled);
		},
		onCount: (counts) => {
			pulled = { ...pulled, ...counts };
			onProgress(pulled);
		},
	});
	let fetch: LogFetch | null = null;
	let seenBoot = 0;
	while (!signal.aborted) {
		if (seenBoot !== link.hello.boot) {
			const sighted = await sight(link);
			if (sighted !== null) {
				seen = sighted;
				seenBoot = sighted.boot;
				refuseOlder(storeId, sighted.durableSeq, pulled.lastSeq);
				learn(sighted.durableSeq);
				const boots = archive.last(storeId) === null ? [] : archive.boots(storeId);
				keepSighting((own) => boots.some(({ boot }) => boot === own));
				// What becomes durable while this runs is left for the next pull, unless it follows.
				const to = follow ? null : sighted.durableSeq;
				fetch ??= new LogFetch({ from: pulled.lastSeq + 1, to });
			}
		}
		if (fetch !== null) {
			const end: FetchEnd = await fetch.over(link.client, {
				onBatches,
				onBytes,
				...(follow && { onStatus: ({ durableSeq }) => learn(durableSeq) }),
				signal: ending,
			});
			const last = end === "done" ? await windows.over(link) : end;
			if (last === "done") return { ...pulled, isComplete: pulled.windowsLeftOut.length === 0 };
			if (last === "ended") break;
		}
		onLost();
		pulled = { ...pulled, losses: pulled.losses + 1 };
		if (!(await link.again())) break;
	}
	const isLevel = pulled.durableSeq > 0 && pulled.lastSeq >= pulled.durableSeq;
	// Whoever follows asks for no windows.
	const hasWindows = windows.isDone && pulled.windowsLeftOut.length === 0;
	return { ...pulled, isComplete: isLevel && (follow || hasWindows) };
}

const arrived = ({ items, chain }: Batch) => ({
	items: items.map((item) => (item.type === "text" ? item.text : item.run)),
	chain,
});

const hasBoot = ({ items }: Batch, boot: number): boolean =>
	items.some((item) =>
		item.type === "samples"
			? item.run.boot === boot
			: (JSON.parse(item.text) as { boot: number }).boot === boot,
	);

/** Of what is beyond `before`; neighbours may bring the same record twice. */
function countsOf(batches: readonly Batch[], before: number) {
	const counts = { samples: 0, runs: 0, trips: 0 };
	let last = before;
	for (const item of batches.flatMap(({ items }) => items)) {
		const toSeq = item.type === "text" ? item.seq : item.run.fromSeq + item.run.length - 1;
		if (toSeq <= last) continue;
		if (item.type === "samples") counts.samples += toSeq - Math.max(last, item.run.fromSeq - 1);
		else {
			const { kind } = JSON.parse(item.text) as { kind: string };
			if (kind === "sample") counts.samples += 1;
			else if (kind === "run-begin") counts.runs += 1;
			else if (kind === "trip") counts.trips += 1;
		}
		last = toSeq;
	}
	return counts;
}

interface Seen extends Sighting {
	/** What the controller has. */
	readonly durableSeq: number;
}

/** This computer's clock beside the controller's; null when the line is lost. */
async function sight({ client, hello }: PullLink): Promise<Seen | null> {
	const askedMs = performance.now();
	const status = await client.call("status", {}).catch(asLost);
	if (status === null) return null;
	const tookMs = performance.now() - askedMs;
	const utcMs = Math.round(Date.now() - tookMs / 2);
	const uncertaintyMs = Math.round(HOST_CLOCK_MS + tookMs / 2);
	const { monoMs, durableSeq } = status;
	return { boot: hello.boot, monoMs, utcMs, uncertaintyMs, durableSeq };
}

function asLost(error: unknown): null {
	if (error instanceof NoAnswer) return null;
	throw error;
}

function refuseOlder(storeId: string, durableSeq: number, lastSeq: number): void {
	if (durableSeq >= lastSeq) return;
	const found = `record ${durableSeq} as its last, where the archive has record ${lastSeq}`;
	const allowed = "the controller whose log this was: it has lost records, or is an older copy";
	throw new InputError([{ file: storeId, found, allowed }]);
}
