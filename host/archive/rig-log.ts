// What the commands look at: the stores of an archive, each with its rig, runs and dates. A rig has
// several stores when one was set aside; they stand in the order in which they came.

import type { LogRecord } from "../../firmware/log/record.ts";
import type { Archive } from "./archive.ts";
import { type Dating, dateBoots, type Sighting, type When } from "./dating.ts";
import type { Note } from "./note.ts";
import { type Moment, type Run, runsOf } from "./runs.ts";

export interface StoreLog {
	readonly storeId: string;
	/** Everything but samples and digests, and the last sample. */
	readonly history: readonly LogRecord[];
	readonly runs: readonly Run[];
	readonly dating: Dating;
}

export interface RigLog {
	readonly rig: string;
	readonly stores: readonly StoreLog[];
	/** Those that count, in the order in which things happened. */
	readonly notes: readonly Note[];
}

/** A run with its store. */
export interface RigRun {
	readonly store: StoreLog;
	readonly run: Run;
}

/** Whether anything counts of it: a rig with struck notes alone was a slip of the keyboard. */
export const hasLogOrNote = ({ stores, notes }: RigLog): boolean =>
	stores.length > 0 || notes.length > 0;

const UNKNOWN_RIG = "unknown rig";

/** Rigs by name. */
export function rigsIn(archive: Archive): RigLog[] {
	const byRig = new Map<string, StoreLog[]>();
	for (const storeId of archive.stores()) {
		const history = archive.history(storeId);
		const boot = history.findLast((record) => record.kind === "boot");
		const rig = boot?.kind === "boot" ? boot.rig : UNKNOWN_RIG;
		const dating = datingOf(archive, storeId, history);
		const store = { storeId, history, runs: runsOf(history), dating };
		byRig.set(rig, [...(byRig.get(rig) ?? []), store]);
	}
	for (const { note } of archive.notes.all()) if (!byRig.has(note.rig)) byRig.set(note.rig, []);
	const names = [...byRig.keys()].sort();
	return names.map((rig) => ({
		rig,
		stores: byRig.get(rig) ?? [],
		notes: archive.notes.of(rig),
	}));
}

/** By the clocks that were set over the link and those that pulls have seen. */
export function datingOf(
	archive: Archive,
	storeId: string,
	history = archive.history(storeId),
): Dating {
	const sightings = [...clocksIn(history), ...archive.sightings(storeId)];
	return dateBoots(sightings, archive.boots(storeId));
}

/** Clocks that somebody set over the link. */
function clocksIn(history: readonly LogRecord[]): Sighting[] {
	return history.flatMap((record) => {
		if (record.kind !== "clock") return [];
		const { utcMs, uncertaintyMs } = record.clock;
		return [{ boot: record.boot, monoMs: record.monoMs, utcMs, uncertaintyMs }];
	});
}

export const runsIn = ({ stores }: RigLog): RigRun[] =>
	stores.flatMap((store) => store.runs.map((run) => ({ store, run })));

export const whenOf = ({ dating }: StoreLog, { boot, monoMs }: Moment): When =>
	dating.at(boot, monoMs);

/** When it was at the latest, and at the earliest; infinite where nothing bounds it. Unix ms. */
export function spanOf(when: When): { fromMs: number; toMs: number } {
	if ("utcMs" in when) {
		const { utcMs, uncertaintyMs } = when;
		return { fromMs: utcMs - uncertaintyMs, toMs: utcMs + uncertaintyMs };
	}
	return {
		fromMs: when.after ?? Number.NEGATIVE_INFINITY,
		toMs: when.before ?? Number.POSITIVE_INFINITY,
	};
}
