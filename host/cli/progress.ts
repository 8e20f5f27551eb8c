// Progress on a terminal's standard error: one line that the next one writes over. Nothing is
// written where nobody looks, or on a terminal that cannot erase.

const ERASE_LINE = "\r\u001b[K";

/** @param text an empty one clears the line */
export function tell(text: string): void {
	if (process.stderr.isTTY && process.env.TERM !== "dumb")
		process.stderr.write(`${ERASE_LINE}${text}`);
}
