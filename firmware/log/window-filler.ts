// Makes the bytes of a window out of the ring's rows, some rows at a time, and cuts frames from
// them. Belongs to the store's thread: a record that comes meanwhile waits for one step at most.
// The two windows that were asked for last are kept.

import { crc32, inflateRawSync } from "node:zlib";
import { encodeWindowPart, type WindowPartWant } from "../link/window-part.ts";
import type { RingRow } from "./database.ts";
import { originSchema, type RunHead, RunWriter } from "./kept-run.ts";
import type { PinnedWindows } from "./pinned-windows.ts";
import { Tape, type TapeJson } from "./tape.ts";
import { TICKS_PACKED } from "./tape-bytes.ts";

/** Rows of one step, a second of ticks each: some milliseconds of work. */
const ROWS_A_STEP = 20;
const WINDOWS_KEPT = 2;

export interface WindowSource {
	readonly storeId: string;
	readonly windows: Pick<PinnedWindows, "rowsOf" | "row" | "originOf">;
}

/** What a window is before it is read: how long its bytes are, and what tells them from others. */
export interface WindowFacts {
	readonly total: number;
	readonly crc: number;
}

export class WindowFiller {
	private readonly done = new Map<number, Uint8Array>();
	private making: { readonly seq: number; readonly maker: WindowMaker } | null = null;

	/**
	 * One step towards the window that record `seq` has pinned.
	 * @returns undefined while it is not made yet; null when there is none
	 */
	step(source: WindowSource, seq: number): WindowFacts | null | undefined {
		const bytes = this.done.get(seq);
		if (bytes !== undefined) return { total: bytes.length, crc: crc32(bytes) };
		if (this.making === null) this.making = { seq, maker: new WindowMaker(source, seq) };
		const { maker, seq: madeSeq } = this.making;
		this.making = null;
		const made = maker.step(source);
		if (made === undefined) {
			this.making = { seq: madeSeq, maker };
			return undefined;
		}
		if (made !== null) this.keep(madeSeq, made);
		// What was made may have been another one, which somebody asked for first.
		return madeSeq === seq && made === null ? null : undefined;
	}

	/** A frame's payload; null when that window has to be asked for anew. */
	part(want: WindowPartWant): Uint8Array | null {
		const bytes = this.done.get(want.seq);
		if (bytes === undefined || want.offset >= bytes.length) return null;
		return encodeWindowPart(want, bytes);
	}

	private keep(seq: number, bytes: Uint8Array): void {
		const [oldest] = this.done.keys();
		if (this.done.size >= WINDOWS_KEPT && oldest !== undefined) this.done.delete(oldest);
		this.done.set(seq, bytes);
	}
}

/** One window on its way to bytes. */
class WindowMaker {
	private readonly ids: readonly number[];
	private readonly seq: number;
	private writer: RunWriter | null = null;
	private tape: Tape | null = null;
	private next = 0;
	private lastMs = Number.NaN;

	constructor(source: WindowSource, seq: number) {
		this.ids = source.windows.rowsOf(seq);
		this.seq = seq;
	}

	step(source: WindowSource): Uint8Array | null | undefined {
		const end = Math.min(this.ids.length, this.next + ROWS_A_STEP);
		for (; this.next < end; this.next += 1) {
			const row = source.windows.row(this.ids[this.next] ?? 0);
			if (row !== undefined) this.take(source, row);
		}
		if (end < this.ids.length) return undefined;
		this.flush();
		return this.writer?.end() ?? null;
	}

	private take(source: WindowSource, row: RingRow): void {
		const json = JSON.parse(inflateRawSync(row.inputs).toString("utf8")) as TapeJson;
		const tape = Tape.fromJson(json);
		const stateMs = nowMsIn(row.state);
		this.writer ??= new RunWriter(headOf(source, this.seq, row.boot));
		if (this.tape === null || stateMs !== this.lastMs) {
			// The first, or rows before it are missing: it begins in its own state.
			this.flush();
			this.writer.begin({ type: "state", state: JSON.parse(row.state) }, tape.channels);
			this.tape = new Tape(tape.channels);
		}
		this.tape.join(tape);
		this.lastMs = row.toMs;
		if (this.tape.length < TICKS_PACKED) return;
		const { channels } = this.tape;
		this.flush();
		this.tape = new Tape(channels);
	}

	private flush(): void {
		if (this.tape !== null) this.writer?.ticks(this.tape);
		this.tape = null;
	}
}

const NOW_MS = /^\{"nowMs":(\d{1,15}),/;

/** Of the last tick before that state: whoever ended there has it for his next. */
const nowMsIn = (state: string): number => Number(NOW_MS.exec(state)?.[1] ?? Number.NaN);

function headOf(source: WindowSource, seq: number, boot: number): RunHead {
	const body = source.windows.originOf(boot);
	const found = body === null ? null : originSchema.safeParse(JSON.parse(body));
	return {
		source: { type: "window", storeId: source.storeId, seq, boot },
		origin: found?.success === true ? found.data : null,
	};
}
