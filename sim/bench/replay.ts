// Puts kept tick inputs through a controller again and looks for the first tick that decides
// otherwise. Exact, since the inputs are all that a tick may look at. After a difference the inputs
// stay those that were recorded: the world would have gone another way.

import type { Outputs } from "../../firmware/board/port.ts";
import type { Controller, ControllerState, TickInputs } from "../../firmware/controller.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { Recovery } from "../../firmware/log/recovery.ts";
import { HUNG, levels, type Tape } from "../../firmware/log/tape.ts";
import { attempt } from "./attempt.ts";

/** Ticks in a row as they were recorded. */
export interface RecordedTicks {
	readonly begin:
		| { readonly type: "boot"; readonly nowMs: number; readonly recovery: Recovery }
		| { readonly type: "state"; readonly state: ControllerState };
	readonly tape: Tape;
	/**
	 * What was written in them, first to last. A digest stands for samples that the log let go:
	 * those, by their numbers, are not missed.
	 */
	readonly records: readonly LogRecord[];
}

/** What one tick decided: levels as bits (HUNG: it never came to its end), and its records. */
export interface Decided {
	readonly levels: number;
	readonly records: readonly LogRecord[];
}

export interface Difference {
	/** -1 is the boot. */
	readonly tick: number;
	/** Since the controller's boot. */
	readonly atMs: number;
	readonly what: "outputs" | "records";
	readonly was: Decided;
	readonly now: Decided;
}

/** A tick as it is decided today. */
export interface ReplayedTick {
	readonly tick: number;
	readonly inputs: TickInputs;
	readonly outputs: Outputs | null;
	readonly records: readonly LogRecord[];
}

export interface Replayed {
	readonly ticks: number;
	/** Null when every tick decides the same. */
	readonly difference: Difference | null;
	/** What is written today. */
	readonly records: readonly LogRecord[];
	/** Of the tick in which today's logic hung, before the last: nothing after it is decided. */
	readonly hungAtMs: number | null;
}

/** @throws whatever the controller throws when it cannot begin in a recorded state */
export function replay(
	controller: Controller,
	recorded: RecordedTicks,
	onTick: (tick: ReplayedTick) => void = () => {},
): Replayed {
	const { begin, tape } = recorded;
	const written = new WrittenRecords(recorded);
	const records: LogRecord[] = [];
	let difference: Difference | null = null;
	let state: ControllerState;
	if (begin.type === "boot") {
		const booted = controller.boot(begin.nowMs, begin.recovery);
		state = booted.state;
		records.push(...booted.records);
		// The first tick may be of the same time.
		const was = written.take(booted.records, begin.nowMs, booted.records.length);
		if (was !== null) {
			const now = { levels: levels(booted.outputs), records: booted.records };
			const then = { levels: now.levels, records: was };
			difference = { tick: -1, atMs: begin.nowMs, what: "records", was: then, now };
		}
	} else state = begin.state;
	for (let tick = 0; tick < tape.length; tick += 1) {
		const kept = tape.inputsAt(tick);
		// Other records have other numbers: today's are durable by the next tick.
		const inputs = difference === null ? kept : withOwnLog(kept, state);
		const result = attempt(controller, state, inputs);
		const made = result?.records ?? [];
		onTick({ tick, inputs, outputs: result?.outputs ?? null, records: made });
		records.push(...made);
		if (difference === null) {
			const now = { levels: result === null ? HUNG : levels(result.outputs), records: made };
			const then = tape.levelsAt(tick);
			const was = written.take(made, kept.nowMs);
			const what = then !== now.levels ? "outputs" : "records";
			if (then !== now.levels || was !== null) {
				const before = { levels: then, records: was ?? made };
				difference = { tick, atMs: kept.nowMs, what, was: before, now };
			}
		}
		if (result === null) {
			const hungAtMs = tick + 1 < tape.length ? kept.nowMs : null;
			return { ticks: tick + 1, difference, records, hungAtMs };
		}
		state = result.state;
	}
	const left = written.rest();
	if (difference === null && left.length > 0) {
		const tick = tape.length - 1;
		const decided = { levels: tick < 0 ? HUNG : tape.levelsAt(tick), records: [] };
		const atMs = left[0]?.monoMs ?? 0;
		difference = { tick, atMs, what: "records", was: { ...decided, records: left }, now: decided };
	}
	return { ticks: tape.length, difference, records, hungAtMs: null };
}

/** Records as they were written, taken tick by tick. */
class WrittenRecords {
	private readonly records: readonly LogRecord[];
	private readonly digests: readonly Digest[];
	private next = 0;

	constructor({ records }: RecordedTicks) {
		this.digests = digestsIn(records);
		// By its time, its last sample's, it may stand after what came in the meantime.
		this.records = records.filter(({ kind }) => kind !== "digest");
	}

	/**
	 * Takes what was written up to that time, at most so many.
	 * @returns null when `made` is the same, else what was written
	 */
	take(made: readonly LogRecord[], nowMs: number, max = Number.POSITIVE_INFINITY) {
		const first = this.next;
		while (this.next - first < max) {
			const record = this.records[this.next];
			if (record === undefined || record.monoMs > nowMs) break;
			this.next += 1;
		}
		const was = this.records.slice(first, this.next);
		const compared = this.digests.length === 0 ? made : made.filter((one) => !this.hasLost(one));
		const isSame =
			compared.length === was.length && compared.every((record, i) => isEqual(record, was[i]));
		return isSame ? null : was;
	}

	/** What is left. */
	rest(): LogRecord[] {
		return this.records.slice(this.next);
	}

	/** As long as nothing has come out otherwise, today's records have the numbers of the log. */
	private hasLost({ kind, seq }: LogRecord): boolean {
		const stands = ({ fromSeq, seq: toSeq }: Digest) => fromSeq <= seq && seq <= toSeq;
		return kind === "sample" && this.digests.some(stands);
	}
}

type Digest = Extract<LogRecord, { kind: "digest" }>;

export const digestsIn = (records: readonly LogRecord[]): Digest[] =>
	records.filter((record): record is Digest => record.kind === "digest");

/** Keys may stand in another order where a record was read from a text. */
export function isEqual(one: unknown, other: unknown): boolean {
	if (Object.is(one, other)) return true;
	if (typeof one !== "object" || typeof other !== "object") return false;
	if (one === null || other === null || Array.isArray(one) !== Array.isArray(other)) return false;
	const [keys, others] = [Object.keys(one), Object.keys(other)];
	return (
		keys.length === others.length &&
		keys.every((key) => Object.hasOwn(other, key) && isEqual(field(one, key), field(other, key)))
	);
}

const field = (of: object, key: string): unknown => Reflect.get(of, key);

function withOwnLog(inputs: TickInputs, { nextSeq }: ControllerState): TickInputs {
	return { ...inputs, log: { ...inputs.log, durableSeq: nextSeq - 1 } };
}
