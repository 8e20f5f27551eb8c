// The account of a run in the manner of a ship's log: time, what happened, why; then a summary.
// Made from the controller's records alone; where the simulator's truth is at hand it stands
// beside, never instead. Width 80.

import { partRows } from "../../firmware/commission/parts.ts";
import { waitsFor } from "../../firmware/cycle/holds.ts";
import { type TripCode, trips } from "../../firmware/cycle/trips.ts";
import { dateTimeText, localWhenSet } from "../../firmware/local-time.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { dilutionWords, goalWords, orderWords } from "./order-words.ts";

export interface Line {
	/** Of the record that tells it. */
	readonly seq: number;
	readonly monoMs: number;
	readonly what: string;
	readonly why: string;
	readonly isTrip: boolean;
}

/** Reads the records from first to last; pulses become litres by the rig's K-factor. */
export function accountLines(records: readonly LogRecord[], pulsesPerLitre: number): Line[] {
	const lines: Line[] = [];
	let isInBursts = false;
	let counted = 0;
	for (const record of records) {
		// The first burst tells how it goes; of the next ones what they brought.
		if (record.kind === "burst") isInBursts = record.dryBursts < record.of;
		else if (record.kind === "trip" || record.kind === "run-end") isInBursts = false;
		if (isInBursts && isOfBursts(record)) continue;
		const entry = entryOf(record, pulsesPerLitre, counted);
		if (record.kind === "burst") counted = record.dryBursts;
		else if (record.kind === "run-begin" || record.kind === "acknowledged") counted = 0;
		if (entry === null) continue;
		const { seq, monoMs, kind } = record;
		lines.push({ seq, monoMs, what: entry[0], why: entry[1], isTrip: kind === "trip" });
	}
	return lines;
}

/** One that did not prove fuel is not counted. */
function burstEntry({ dryBursts, of }: Burst, counted: number): Entry {
	return dryBursts > counted
		? [`Burst ${dryBursts} of ${of}: no water at the probe.`, ""]
		: ["A burst that is not counted.", "It may have moved air and not fuel."];
}

/** What each burst does again. */
function isOfBursts(record: LogRecord): boolean {
	if (record.kind === "start") return record.reason === "stood";
	if (record.kind === "prime") return record.result === "fuel";
	return record.kind === "state" && (record.to === "polishing" || record.to === "standing");
}

type Burst = Extract<LogRecord, { kind: "burst" }>;
type Entry = readonly [what: string, why: string] | null;

/** @param counted bursts in a row that have brought no water, before this record */
function entryOf(record: LogRecord, pulsesPerLitre: number, counted: number): Entry {
	switch (record.kind) {
		case "boot":
			return ["Controller up, pump off.", `Boot ${record.boot}.`];
		case "order": {
			const { order } = record;
			const who = order.attended ? "A person stays at the rig." : "Armed; nobody stays at the rig.";
			const why = [who, dilutionWords(order)].filter((words) => words !== null).join(" ");
			return [`Order taken: ${orderWords(order)}, ${goalWords(order)}.`, why];
		}
		case "order-refused":
			return ["Order refused.", `${sentence(record.reasons.join("; "))}`];
		case "clock":
			return [`Clock set: ${dateTimeText(localWhenSet(record.clock))}.`, ""];
		case "planned":
			return [`Planned for ${record.plan.at}.`, `${record.id} waits for its time.`];
		case "plan-refused":
			return ["Plan refused.", sentence(record.reasons.join("; "))];
		case "plan-ended":
			return [`Plan ${record.id} ${record.outcome}.`, sentence(record.reasons.join("; "))];
		case "burst":
			return burstEntry(record, counted);
		case "stop":
			return ["Stop received.", `By ${record.by}.`];
		case "acknowledge":
			return null;
		case "acknowledge-refused":
			return ["Acknowledgement refused.", `${record.reasons.join("; ")}.`];
		case "acknowledged":
			return [`Acknowledged at the ${record.from}.`, `${record.codes.join(", ")}.`];
		case "cleared":
			return [`Cleared: ${record.codes.join(", ")}.`, "Fuel at the meter proves it."];
		case "drained":
			return [`Bowl drained: ${record.waterMl} mL of water.`, "Noted by the crew."];
		case "armed":
			return ["Plan armed at the rig.", "The set-up check is passed."];
		case "arming-refused":
			return ["Not armed.", sentence(record.reasons.join("; "))];
		case "disarmed":
			return ["No longer armed.", sentence(record.why)];
		case "held":
			return ["Held: the order waits.", sentence(waitsFor(record.causes).join("; "))];
		case "drain-seen":
			return ["Probe seen to go from wet to dry.", ""];
		case "run-begin":
		case "proof-answer":
			return null;
		case "proof-begun":
			return [`Proof of ${record.step} begun.`, `By ${record.by}.`];
		case "proof":
			return [
				`${record.passed ? "Proven" : "Not proven"}: ${record.step}.`,
				sentence(record.reasons.join("; ")),
			];
		case "proof-refused":
			return ["Commissioning: refused.", sentence(record.reasons.join("; "))];
		case "part-changed":
			return [`Changed: ${partRows[record.part].words}.`, "Its steps are due again."];
		case "fill":
			return [`Filled ${record.litres} L: ${record.pulses} pulses.`, ""];
		case "fill-struck":
			return [`Fill of record ${record.fillSeq} does not count.`, sentence(record.why)];
		case "run-end": {
			const moved = (record.run.pulses / pulsesPerLitre).toFixed(1);
			const ran = clock(record.run.motorMs);
			const isPumped = record.run.motorMs > 0 || record.run.pulses > 0;
			const done = isPumped ? `${moved} L in ${ran} of pumping.` : "Nothing was pumped.";
			const { outcome } = record;
			const why = record.reasons.length > 0 ? sentence(record.reasons.join("; ")) : "";
			// "Ended by trip: …" says by itself that it ended.
			const what = outcome.startsWith("ended") ? `Run ${outcome}.` : `Run ended: ${outcome}.`;
			return [what, why === "" ? done : why];
		}
		case "interrupted":
			return [
				"Interrupted run found.",
				"The controller ended in mid-run; counted to its last sample.",
			];
		case "start":
			return ["Start asked for: horn, proofs, prime.", startReasons[record.reason]];
		case "prime":
			return record.result === "fuel"
				? ["Primed: fuel at the meter.", `Try ${record.primeTry}.`]
				: ["No fuel came.", `Try ${record.primeTry} lasted as long as the pump may run dry.`];
		case "trip":
			return record.code === "relay-stuck"
				? ["TRIP relay-stuck. K1 and K2 told to open.", sentence(record.cause)]
				: [`TRIP ${record.code}. Pump off.`, sentence(record.cause)];
		case "state":
			return stateEntries[record.to]?.(record.why) ?? null;
		case "unordered":
		case "sample":
		case "digest":
		case "restriction":
			return null;
	}
}

const startReasons = {
	ordered: "The order is safe in the log.",
	rested: "The pump has rested; it starts by itself.",
	stood: "The bowl has stood; it goes on by itself.",
	acknowledged: "The trip is acknowledged; the order goes on.",
	released: "What it waited for has come; it starts by itself.",
} as const;

const stateEntries: Record<string, (why: string) => Entry> = {
	polishing: () => ["Pumping.", ""],
	standing: () => ["Burst done, standing.", "What it brought falls out in the bowl."],
	resting: (why) => ["Resting.", restReasons[why] ?? "The pump is not fit to start yet."],
};

const restReasons: Record<string, string> = {
	dutyLeft: "The pump has run as long as its rating allows.",
	"motor-warm": "The motor's case is warm.",
};

/** What the reader should do about the trips that are open at the end. */
export function openTrips(codes: readonly TripCode[]): string[] {
	return codes.map((code) => `${code}: ${trips[code].toDo}`);
}

type Words = Pick<Line, "monoMs" | "what" | "why">;

/** Lines as text, three columns, wrapped to `width`. */
export function layOut(lines: readonly Words[], width: number): string[] {
	const whatWidth = 38;
	const whyWidth = width - 9 - whatWidth - 2;
	return lines.flatMap(({ monoMs, what, why }) => {
		const left = wrap(what, whatWidth);
		const right = wrap(why, whyWidth);
		const rows = Math.max(left.length, right.length);
		return Array.from({ length: rows }, (_, i) => {
			const time = i === 0 ? clock(monoMs) : "";
			const text = `${time.padStart(8)} ${(left[i] ?? "").padEnd(whatWidth)}  ${right[i] ?? ""}`;
			return text.trimEnd();
		});
	});
}

/** `h:mm:ss` */
export function clock(ms: number): string {
	const s = Math.floor(ms / 1000);
	const two = (n: number) => String(n).padStart(2, "0");
	return `${Math.floor(s / 3600)}:${two(Math.floor(s / 60) % 60)}:${two(s % 60)}`;
}

/** Words of a text in lines of at most `width`; a longer word stands alone. */
export function wrap(text: string, width: number): string[] {
	const lines: string[] = [];
	let line = "";
	for (const word of text.split(" ").filter((part) => part !== "")) {
		if (line !== "" && line.length + 1 + word.length > width) {
			lines.push(line);
			line = word;
		} else {
			line = line === "" ? word : `${line} ${word}`;
		}
	}
	return line === "" ? lines : [...lines, line];
}

function sentence(text: string): string {
	if (text === "") return "";
	const first = text.charAt(0).toUpperCase() + text.slice(1);
	return /[.?]$/.test(first) ? first : `${first}.`;
}
