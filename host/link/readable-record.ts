// A record for who only looks: one that this program cannot read, a newer controller's or a broken
// one, is left out, where the archive would complain. Imports the firmware's reader.

import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";

export function readableRecord(text: string): LogRecord | null {
	try {
		return readRecord(text);
	} catch {
		return null;
	}
}
