// What a restart makes of the log it finds: the next boot and record number, trips that are still
// open, a run that never ended, and the totals. Pure; reads records from first to last.

import { isProofRecord, type ProofRecord } from "../commission/evidence.ts";
import type { Rig } from "../config/rig.ts";
import type { TripCode } from "../cycle/trips.ts";
import { ENDED_KEPT, type Planned } from "../schedule.ts";
import type { RestrictionState } from "../sense/restriction.ts";
import { addTally, type Tally, type Totals, totalsAtBoot, withUnordered } from "../totals.ts";
import type { LogRecord } from "./record.ts";

/** Decisions that are kept to be told again; accepted work is kept beyond that, for good. */
export const DECISIONS_KEPT = 10_000;

export interface Recovery {
	readonly boot: number;
	readonly nextSeq: number;
	readonly openTrips: ReadonlyArray<{ code: TripCode; cause: string; drainSeen: boolean }>;
	/** Water was the last thing that somebody acknowledged, in the boot before; or who knows. */
	readonly waterLately: boolean;
	/** The run that was under way when the last boot ended; null when none was. */
	readonly interrupted: { readonly id: string; readonly tank: string; readonly run: Tally } | null;
	/** Plans that wait, and occurrences of weekly ones that have ended. */
	readonly planned: readonly Planned[];
	readonly ended: readonly string[];
	/** What was last known of the element. */
	readonly restriction: RestrictionState | null;
	/** What has been proven of the rig, and what has spoilt that, first to last. */
	readonly proofs: readonly ProofRecord[];
	/** A step of commissioning that was under way when the last boot ended. */
	readonly begunStep: Of<"proof-begun"> | null;
	/** What became of a log that could not be read; null when nothing is lost. */
	readonly lost: string | null;
	/** Without the interrupted run's. */
	readonly totals: Totals;
}

type Of<K extends LogRecord["kind"]> = Extract<LogRecord, { kind: K }>;

/** What a store tells beside its history. */
export interface Found {
	/** What became of a log that could not be read. */
	readonly lost?: string | null;
	/** The newest record, which may be of a kind that is unknown here. */
	readonly last?: { readonly seq: number; readonly boot: number } | undefined;
}

/** @param history all records of the store but samples and digests, and the last sample */
export function recover(
	history: readonly LogRecord[],
	rig: Pick<Rig, "tanks">,
	{ lost = null, last = history.at(-1) }: Found = {},
): Recovery {
	const open = new Map<TripCode, { cause: string; drainSeen: boolean }>();
	let waterBoot: number | null = null;
	let begun: Of<"run-begin"> | null = null;
	let lastSample: Of<"sample"> | null = null;
	let totals = totalsAtBoot(rig);
	let unordered = totals.unordered;
	const planned = new Map<string, Planned>();
	const ended: string[] = [];
	const proofs: ProofRecord[] = [];
	let begunStep: Of<"proof-begun"> | null = null;
	let restriction: RestrictionState | null = null;
	for (const record of history) {
		if (record.kind === "trip") open.set(record.code, { cause: record.cause, drainSeen: false });
		else if (record.kind === "drain-seen") {
			for (const [code, trip] of open) open.set(code, { ...trip, drainSeen: true });
		} else if (record.kind === "acknowledged") {
			for (const code of record.codes) open.delete(code);
			if (record.codes.includes("water-in-bowl")) waterBoot = record.boot;
		} else if (record.kind === "unordered") unordered = record.sum;
		else if (record.kind === "restriction") restriction = record.fit;
		else if (record.kind === "planned") planned.set(record.id, record);
		else if (record.kind === "plan-ended" && !planned.delete(record.id)) ended.push(record.id);
		else if (record.kind === "proof-begun") begunStep = record;
		else if (isProofRecord(record)) {
			proofs.push(record);
			if (record.kind === "proof") begunStep = null;
		} else if (record.kind === "run-begin") begun = record;
		else if (record.kind === "sample") lastSample = record;
		else if (record.kind === "run-end" || record.kind === "interrupted") {
			if (begun !== null) totals = addTally(totals, begun.order.tank, record.run);
			begun = null;
		}
	}
	if (lost !== null) open.set("log-failed", { cause: lost, drainSeen: false });
	const nextSeq = (last?.seq ?? 0) + 1;
	const openTrips = [...open].map(([code, trip]) => ({ code, ...trip }));
	return {
		boot: (last?.boot ?? 0) + 1,
		nextSeq,
		openTrips,
		waterLately: lost !== null || (last !== undefined && waterBoot === last.boot),
		interrupted: begun === null ? null : interruption(begun, lastSample),
		planned: [...planned.values()].map(({ id, plan }) => ({ id, plan })),
		ended: ended.slice(-ENDED_KEPT),
		restriction,
		proofs,
		begunStep,
		lost,
		totals: withUnordered(totals, unordered),
	};
}

/** The run as far as the last sample tells; nothing is invented beyond it. */
function interruption(begun: Of<"run-begin">, sample: Of<"sample"> | null) {
	const { id, tank } = begun.order;
	const run = sample !== null && sample.seq > begun.seq ? sample.run : { motorMs: 0, pulses: 0 };
	return { id, tank, run };
}
