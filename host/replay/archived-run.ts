// Finds what a person names of the archive: the last window of tick inputs, a record that has
// pinned one, or a run of `lees runs`; and makes it ready to be decided again. Imports the archive.

import { InputError } from "../../firmware/config/input-error.ts";
import { decodeRun, type KeptRun } from "../../firmware/log/kept-run.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import { BadBytes } from "../../firmware/log/varint.ts";
import type { Archive, WindowName } from "../archive/archive.ts";
import type { RigLog, StoreLog } from "../archive/rig-log.ts";
import type { Run } from "../archive/runs.ts";
import { beginMsOf } from "./recorded-ticks.ts";

export interface Chosen {
	readonly rig: string;
	readonly store: StoreLog;
	/** Windows that the trips of it have pinned, first to last; none: samples only. */
	readonly windows: readonly WindowName[];
	/** The run it is of; null where no run is under way. */
	readonly run: Run | null;
	/** All of the run was asked for, and not what was kept of one stop. */
	readonly isWhole: boolean;
}

const NAMED = /^(?:([0-9a-f-]{4,36}):)?(\d{1,15})$/;

/** Whether that is a way to name something of the archive. */
export const isOfArchive = (typed: string): boolean => typed === "last" || NAMED.test(typed);

/**
 * @param typed `last`, a record's number, or the begin of a store's identity and one, as `5f0c:12`
 * @throws InputError when nothing is known by that name, or too much
 */
export function chooseRun(
	archive: Archive,
	rigs: readonly RigLog[],
	typed: string,
	file: string,
): Chosen {
	const [, prefix = "", number = ""] = NAMED.exec(typed) ?? [];
	const stores = rigs
		.flatMap(({ rig, stores }) => stores.map((store) => ({ rig, store })))
		.filter(({ store }) => store.storeId.startsWith(prefix));
	const found = stores.flatMap(({ rig, store }) => {
		const chosen = inStore(archive, store, typed === "last" ? null : Number(number));
		return chosen === null ? [] : [{ rig, ...chosen }];
	});
	const [first] = found;
	if (first === undefined) {
		const names = stores.flatMap(({ store }) => namesIn(archive, store, stores.length > 1));
		const allowed = `last, or one of ${names.slice(-NAMES_SHOWN).join(", ") || "none: pull first"}`;
		throw new InputError([{ file, key: "RUN", found: `nothing by the name ${typed}`, allowed }]);
	}
	if (typed === "last") return found.at(-1) ?? first;
	if (found.length > 1) {
		const allowed = `--rig, or ${found
			.map(({ store }) => `${store.storeId.slice(0, 8)}:${number}`)
			.join(" or ")}`;
		throw new InputError([{ file, key: "RUN", found: `${typed} in several logs`, allowed }]);
	}
	return first;
}

const NAMES_SHOWN = 12;

/** Trips with a window, and runs. */
function namesIn(archive: Archive, store: StoreLog, isOneOfSome: boolean): string[] {
	const pinned = archive.windows(store.storeId).map(({ seq }) => seq);
	const runs = store.runs.map(({ begin }) => begin.seq);
	const numbers = [...new Set([...pinned, ...runs])].sort((a, b) => a - b);
	return numbers.map((seq) => (isOneOfSome ? `${store.storeId.slice(0, 8)}:${seq}` : `${seq}`));
}

/** @param seq null: the newest trip's, or where no trip has one the newest of all */
function inStore(
	archive: Archive,
	store: StoreLog,
	seq: number | null,
): Omit<Chosen, "rig"> | null {
	const windows = archive.windows(store.storeId);
	const kindOf = new Map(store.history.map((record) => [record.seq, record.kind]));
	const isOfStop = (window: WindowName) => kindOf.get(window.seq) !== "order";
	if (seq === null) {
		const last = windows.findLast(isOfStop) ?? windows.at(-1);
		if (last !== undefined) {
			return { store, windows: [last], run: runAt(store, last.seq), isWhole: false };
		}
		const run = store.runs.at(-1) ?? null;
		return run === null ? null : { store, windows: [], run, isWhole: true };
	}
	const window = windows.find((one) => one.seq === seq);
	if (window !== undefined) {
		return { store, windows: [window], run: runAt(store, seq), isWhole: false };
	}
	const run = runAt(store, seq);
	const isNamed = run?.begin.seq === seq || kindOf.get(seq) === "trip";
	if (run === null || !isNamed) return null;
	const end = run.end?.seq ?? Number.POSITIVE_INFINITY;
	const own = windows.filter((one) => one.seq > run.begin.seq && one.seq <= end && isOfStop(one));
	const isWhole = run.begin.seq === seq;
	return { store, windows: isWhole ? own : [], run, isWhole };
}

function runAt({ runs }: StoreLog, seq: number): Run | null {
	return (
		runs.find(({ begin, end }) => {
			return begin.seq <= seq && seq <= (end?.seq ?? Number.POSITIVE_INFINITY);
		}) ?? null
	);
}

/** @throws InputError when it cannot be read */
export function readWindow(archive: Archive, storeId: string, seq: number, file: string): KeptRun {
	const bytes = archive.window(storeId, seq);
	if (bytes === null) throw new Error(`no window of record ${seq}`);
	try {
		return decodeRun(bytes);
	} catch (error) {
		if (!(error instanceof BadBytes)) throw error;
		const allowed = "a window that this program can read";
		throw new InputError([{ file, key: `window ${seq}`, found: error.message, allowed }]);
	}
}

export interface WindowRun {
	readonly name: WindowName;
	readonly run: KeptRun;
}

/** So much before a stop is looked at, ms: what the ring aboard keeps. */
const LOOK_BACK_MS = 600_000;

/**
 * Windows with those right before the first: a second trip's window begins where the first trip's
 * ends, and would show next to nothing.
 * @throws InputError when one cannot be read
 */
export function withEarlier(
	archive: Archive,
	storeId: string,
	windows: readonly WindowName[],
	file: string,
): WindowRun[] {
	const read = (name: WindowName) => ({ name, run: readWindow(archive, storeId, name.seq, file) });
	const found = windows.map(read);
	const all = archive.windows(storeId);
	const endMs = found[0]?.name.toMs ?? 0;
	for (let first = found[0]; first !== undefined; first = found[0]) {
		const { name, run } = first;
		const before = all.findLast(({ seq, boot }) => seq < name.seq && boot === name.boot);
		const meets = before !== undefined && before.toMs === beginMs(run);
		if (!meets || endMs - before.toMs >= LOOK_BACK_MS) break;
		found.unshift(read(before));
	}
	return found;
}

/** Time of the tick before the first. */
function beginMs({ stretches: [first] }: KeptRun): unknown {
	const state = first?.begin.type === "state" ? first.begin.state : null;
	return typeof state === "object" && state !== null ? Reflect.get(state, "nowMs") : null;
}

/** Records of one boot from `fromSeq` on that began by then; of kinds that are known here. */
export function recordsOf(
	archive: Archive,
	storeId: string,
	fromSeq: number,
	boot: number,
	toMs: number,
): LogRecord[] {
	const records: LogRecord[] = [];
	for (const { text } of archive.texts(storeId, fromSeq)) {
		const record = readRecord(text);
		if (record === null) continue;
		if (record.boot !== boot || beginMsOf(record) > toMs) break;
		records.push(record);
	}
	return records;
}
