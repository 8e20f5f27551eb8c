// What makes an order wait without a trip: conditions that end by themselves. Each has a limit, by
// hours and by count, after which it becomes a trip. Data, and its words.

import type { TripCode } from "./trips.ts";

export const holdCauses = ["cold", "supply-recovering", "quiet-hours", "time-unknown"] as const;

export type HoldCause = (typeof holdCauses)[number];

export interface HoldRow {
	readonly words: string;
	/** What it becomes when it lasts too long or comes too often. */
	readonly code: TripCode;
	/** Channels without which it cannot be found. */
	readonly sensors: readonly string[];
}

export const holdRows: Readonly<Record<HoldCause, HoldRow>> = {
	cold: {
		words: "the fuel is too cold: water in the bowl may freeze, wax may form",
		code: "too-cold",
		sensors: ["fuel-temperature"],
	},
	"supply-recovering": {
		words: "the battery is low: it waits for a charge",
		code: "supply-low",
		sensors: ["supply-volts", "motor-current"],
	},
	"quiet-hours": {
		words: "it is quiet hours: nothing pumps that nobody attends",
		code: "time-limit",
		sensors: [],
	},
	"time-unknown": {
		words: "the time is unknown: it may be quiet hours",
		code: "time-limit",
		sensors: [],
	},
};

/** After so many times an order that was held goes on by itself, the next hold is a trip. */
export const RESUMES_MAX = 3;
/** Within a night, ms. */
export const RESUMES_WITHIN_MS = 12 * 3_600_000;

/** What an order waits for, in words. */
export const waitsFor = (causes: readonly HoldCause[]): string[] =>
	causes.map((cause) => holdRows[cause].words);
