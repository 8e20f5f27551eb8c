// What has happened, for a page: the account's lines of the latest records, dated by the rig's own
// clock where somebody has told it the time. Pure.

import type { LogRecord } from "../../firmware/log/record.ts";
import type { EventLine } from "../web/scene.ts";
import { accountLines } from "./account.ts";

/** Lines that are shown at most; the archive has them all. */
const SHOWN = 100;

type ClockRecord = Extract<LogRecord, { kind: "clock" }>;

/** @param records of one boot, first to last @param clock the last one of that boot */
export function eventLines(
	records: readonly LogRecord[],
	pulsesPerLitre: number,
	clock: ClockRecord | null,
): EventLine[] {
	const lines = accountLines(records, pulsesPerLitre).slice(-SHOWN);
	return lines.map((line) => ({ ...line, utcMs: utcMsOf(line.monoMs, clock) }));
}

/** What came before the clock was set is dated by it too: it is the same boot. */
function utcMsOf(monoMs: number, clock: ClockRecord | null): number | null {
	return clock === null ? null : clock.clock.utcMs + monoMs - clock.monoMs;
}
