// What a kept run holds, made ready to be decided again: rig and pin map read by today's schemas,
// records brought up to today's versions, and for each boot what the log told it. Imports
// firmware's public entries.

import { InputError } from "../../firmware/config/input-error.ts";
import { type PinMap, readPinMap } from "../../firmware/config/pins.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import type { ControllerState } from "../../firmware/controller.ts";
import type { KeptRun, Origin, Stretch } from "../../firmware/log/kept-run.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import { recover } from "../../firmware/log/recovery.ts";
import type { RecordedTicks } from "../../sim/bench/replay.ts";

/** The rig and the pin map of a run, by today's schemas. */
export interface Parts {
	readonly rig: Rig;
	readonly pins: PinMap;
}

/**
 * Both were read once before; what has been added to a file since gets its default.
 * @throws InputError that names what today's program does not take
 */
export function partsOf({ rig, pins }: Origin, file: string): Parts {
	return {
		rig: readRig(JSON.stringify(rig), `${file} (its rig)`),
		pins: readPinMap(JSON.stringify(pins), `${file} (its pin map)`),
	};
}

/**
 * Stretches with their own records, each after the ones before it.
 * @throws InputError when a record is not one that this program knows
 */
export function bootStretches({ stretches }: KeptRun, rig: Rig, file: string): RecordedTicks[] {
	const before: LogRecord[] = [];
	return stretches.map(({ begin, tape, texts }) => {
		const records = recordsIn(texts ?? [], file);
		const recovery = recover(before, rig);
		before.push(...records);
		if (begin.type === "state") return { begin: stateBegin(begin), tape, records };
		return { begin: { ...begin, recovery }, tape, records };
	});
}

/** A stretch that begins in a state, with the records that its boot has in the archive. */
export function windowStretch(
	{ begin, tape }: Stretch,
	records: readonly LogRecord[],
): RecordedTicks {
	if (begin.type === "boot") throw new Error("a window begins in a state");
	const known = stateBegin(begin);
	// Whatever shape it has: that is looked at later.
	const { boot, nextSeq, nowMs }: Partial<ControllerState> = known.state ?? {};
	const toMs = tape.length === 0 ? (nowMs ?? 0) : tape.fieldAt(tape.length - 1, 0);
	const own = records.filter(
		(record) => record.boot === boot && record.seq >= (nextSeq ?? 0) && beginMsOf(record) <= toMs,
	);
	return { begin: known, tape, records: own };
}

/** A digest has the time of its last sample, and stands for those before. */
export const beginMsOf = (record: LogRecord): number =>
	record.kind === "digest" ? record.fromMs : record.monoMs;

/** Of an older program it may have another shape: state-shape.ts looks before it is used. */
const stateBegin = ({ state }: { readonly state?: unknown }) =>
	({ type: "state", state: state as ControllerState }) as const;

function recordsIn(texts: readonly string[], file: string): LogRecord[] {
	return texts.map((text, i) => {
		const allowed = "records that this program knows";
		try {
			const record = readRecord(text);
			if (record !== null) return record;
		} catch {
			const found = `record ${i + 1} of a stretch that is none`;
			throw new InputError([{ file, found, allowed }]);
		}
		const found = `record ${i + 1} of a stretch in a newer version`;
		throw new InputError([{ file, found, allowed }]);
	});
}
