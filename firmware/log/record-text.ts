// Records as text: what is stored, chained and sent. Each text says the version of its kind's body;
// one that an earlier controller wrote is brought up to today's. Pure; imports the schema only.

import { type LogRecord, type RecordKind, recordSchema } from "./record.ts";

/** Versions above the first. A text without one is of the first, before there were any. */
const VERSIONS: Partial<Record<RecordKind, number>> = { boot: 2, sample: 2 };

/** Of the body that is written now. */
export const versionOf = (kind: RecordKind): number => VERSIONS[kind] ?? 1;

type Raw = Record<string, unknown>;

/** From each version of a kind's body to the next one. */
const UPGRADES: Partial<Record<RecordKind, ReadonlyArray<(raw: Raw) => Raw>>> = {
	boot: [
		({ pulsesPerLitre, ...rest }) => ({
			...rest,
			meter: { kind: null, pulsesPerLitre, uncertainty: null, isCalibrated: false },
			pump: null,
		}),
	],
	sample: [({ run, ...rest }) => ({ ...rest, fuelC: "not-fitted", run })],
};

/** The one text of a record: its head, version and kind, then its body in the schema's order. */
export function textOf(record: LogRecord): string {
	const { seq, boot, monoMs, kind, ...body } = record;
	return JSON.stringify({ seq, boot, monoMs, v: versionOf(kind), kind, ...body });
}

/**
 * A record from its text, in today's version.
 * @returns null for a kind or version that this program does not know: a newer controller's
 * @throws Error when it is no record, or not what its kind and version say
 */
export function readRecord(text: string): LogRecord | null {
	const raw = JSON.parse(text) as Raw;
	const { v = 1, ...rest } = raw;
	const kind = rest.kind as RecordKind;
	if (!KINDS.has(kind) || Number(v) > versionOf(kind)) return null;
	const upgrades = UPGRADES[kind] ?? [];
	const current = upgrades.slice(Number(v) - 1).reduce((body, upgrade) => upgrade(body), rest);
	return recordSchema.parse(current);
}

const KINDS: ReadonlySet<RecordKind> = new Set(
	recordSchema.options.map(({ shape }) => shape.kind.value),
);
