// Where `lees control` shows the codes of pages that ask to be paired: on its terminal, or wherever
// its output goes. Imports Node only.

import { write } from "node:fs";

const STDOUT = 1;
/** From so many unused codes in a row on it is said that somebody may be guessing. */
const UNUSED_TOLD = 3;

/** What a person reads. */
export function codeWords(code: string, unused: number): string {
	const guess =
		unused < UNUSED_TOLD
			? ""
			: ` Nobody used the ${unused} before it: if no page of yours asks, look who is on the link.`;
	return (
		`a page asks to be paired, and may start the pump then: ${code}\n` +
		`  Type it in there within three minutes, if you know how the rig stands.${guess}\n`
	);
}

/**
 * Node's own writing to a terminal or a pipe waits until it is taken: one that is held up would
 * hold up the tick, whenever a client of the link wants it to. So it is written beside the tick,
 * one text at a time; what comes meanwhile is not shown, as nobody reads there, nor is what cannot
 * be written.
 */
export class CodeSign {
	private readonly file: number;
	private isHeldUp = false;

	/** @param file its descriptor */
	constructor(file = STDOUT) {
		this.file = file;
	}

	show(code: string, unused: number): void {
		if (this.isHeldUp) return;
		this.isHeldUp = true;
		write(this.file, codeWords(code, unused), () => {
			this.isHeldUp = false;
		});
	}
}
