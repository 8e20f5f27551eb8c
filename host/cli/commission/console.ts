// A terminal on which text goes up and one line stands under it: readings that change, or a
// question with what is typed. Nothing is drawn over, so that the session can be read back. Given
// back as it was at every end that a process sees. Imports Node and picocolors.

import pc from "picocolors";
import { wrap } from "../../report/account.ts";
import { fitted, harmless } from "../../report/cell-width.ts";
import type { Line, Mark } from "./guide-words.ts";

const CLEAR_LINE = "\r\u001b[K";
const CTRL_C = "\u0003";
const CTRL_D = "\u0004";
const BACKSPACE = /[\b\u007f]/;
const FIGURE = /(\d) (mL|L|kPa|s|ms|min|A|V|h|bar|°C|%|L\/h)(?=[\s.,;:)]|$)/g;
const COLUMNS_MAX = 100;
const USUAL_COLUMNS = 80;
const TYPED_MAX = 200;

const paint: Record<Mark, (text: string) => string> = {
	title: pc.bold,
	plain: (text) => text,
	caution: pc.yellow,
	good: pc.green,
	bad: pc.red,
};

export type Foot = { readonly live: string } | { readonly prompt: string };

export interface Keys {
	readonly onLine: (text: string) => void;
	readonly onQuit: () => void;
}

/** Whether a person sits there who can be asked. */
export const canAsk = (): boolean => process.stdin.isTTY === true && process.stdout.isTTY === true;

export class Console {
	private readonly keys: Keys;
	private foot: Foot = { live: "" };
	private shown = "";
	private typed = "";
	private readonly giveBack = () => this.close();
	private readonly hear = (bytes: Buffer) => {
		for (const key of bytes.toString("utf8")) this.take(key);
		this.draw();
	};

	constructor(keys: Keys) {
		this.keys = keys;
		process.stdin.setRawMode(true);
		process.stdin.on("data", this.hear);
		process.once("exit", this.giveBack);
	}

	/** Text that stays, and what stands under it from now on. */
	show(lines: readonly Line[], foot: Foot): void {
		// What was typed to one question answers no other.
		const isOther = !(
			"prompt" in foot &&
			"prompt" in this.foot &&
			foot.prompt === this.foot.prompt
		);
		if (isOther) this.typed = "";
		this.foot = foot;
		if (lines.length > 0) {
			const text = lines.flatMap((line) => this.rowsOf(line));
			process.stdout.write(`${CLEAR_LINE}${text.join("\r\n")}\r\n`);
			this.shown = "";
		}
		this.draw();
	}

	private rowsOf({ mark, text }: Line): string[] {
		const columns = Math.min(COLUMNS_MAX, this.columns - 1);
		const safe = harmless(text);
		if (isTable(safe)) return [paint[mark](fitted(safe, columns))];
		const indent = /^ */.exec(safe)?.[0] ?? "";
		// A figure stays with its unit.
		const rows = wrap(safe.replace(FIGURE, "$1\u00a0$2"), columns - indent.length);
		const told = rows.map((row) => paint[mark](indent + row.replaceAll("\u00a0", " ")));
		return told.length === 0 ? [""] : told;
	}

	close(): void {
		process.off("exit", this.giveBack);
		process.stdin.off("data", this.hear);
		// A terminal that has gone needs nothing back.
		try {
			process.stdin.setRawMode(false);
			process.stdout.write(CLEAR_LINE);
		} catch {}
		process.stdin.pause();
	}

	private get columns(): number {
		return process.stdout.columns || USUAL_COLUMNS;
	}

	private draw(): void {
		const columns = this.columns - 1;
		// What is typed stays in sight: the question gives way.
		const typed = [...this.typed].slice(-Math.floor(columns / 2)).join("");
		const text =
			"prompt" in this.foot
				? fitted(harmless(this.foot.prompt), columns - typed.length) + harmless(typed)
				: fitted(harmless(this.foot.live), columns);
		if (text === this.shown) return;
		this.shown = text;
		process.stdout.write(`${CLEAR_LINE}${text}`);
	}

	private take(key: string): void {
		if (key === CTRL_C || key === CTRL_D) this.keys.onQuit();
		else if (!("prompt" in this.foot)) {
			if (key === "q") this.keys.onQuit();
		} else if (key === "\r" || key === "\n") this.enter();
		else if (BACKSPACE.test(key)) this.typed = [...this.typed].slice(0, -1).join("");
		else if (key >= " " && this.typed.length < TYPED_MAX) this.typed += key;
	}

	private enter(): void {
		const text = this.typed;
		this.typed = "";
		// The question stays with its answer above what comes of it.
		if ("prompt" in this.foot) {
			process.stdout.write(`${CLEAR_LINE}${harmless(this.foot.prompt + text)}\r\n`);
		}
		this.shown = "";
		this.keys.onLine(text);
	}
}

/** Columns that stand under each other keep their blanks. */
const isTable = (text: string): boolean => /^ {2}.*\S {2,}\S/.test(text);
