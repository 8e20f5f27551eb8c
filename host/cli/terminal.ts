// A terminal that is drawn on and given back as it was: its other screen, no cursor, keys one by
// one. Given back at every end that a process sees, a fault among them. Imports Node and
// picocolors, which knows whether colour is wanted.

import pc from "picocolors";

const ENTER = "\u001b[?1049h\u001b[?25l\u001b[?7l\u001b[2J";
const LEAVE = "\u001b[?7h\u001b[?25h\u001b[?1049l";
const HOME = "\u001b[H";
const ERASE_LINE_END = "\u001b[K";
const ERASE_BELOW = "\u001b[J";
const CTRL_C = "\u0003";
const CTRL_D = "\u0004";
const CTRL_Z = "\u001a";
/** What a terminal has when it does not say. */
const USUAL = { width: 80, height: 24 };

/** Whether there is one that can be drawn on. */
export const canDraw = (): boolean => process.stdout.isTTY === true && process.env.TERM !== "dumb";

export class Terminal {
	/** Called with `q` and with what ends a program from the keyboard; and after a resize. */
	private readonly onQuit: () => void;
	private readonly onChange: () => void;
	private shown = "";
	private isTaken = false;
	private readonly leaveOnExit = () => this.leave();
	private readonly hearKey = (keys: Buffer) => this.take(keys.toString("latin1"));
	private readonly redraw = () => {
		this.shown = "";
		this.onChange();
	};

	constructor(onQuit: () => void, onChange: () => void) {
		this.onQuit = onQuit;
		this.onChange = onChange;
		this.enter();
		process.once("exit", this.leaveOnExit);
		process.stdout.on("resize", this.redraw);
		if (process.stdin.isTTY) process.stdin.on("data", this.hearKey);
	}

	get size(): { width: number; height: number } {
		const { columns, rows } = process.stdout;
		return { width: columns || USUAL.width, height: rows || USUAL.height };
	}

	get hasColour(): boolean {
		return pc.isColorSupported;
	}

	/** @param lines none wider than the terminal, and not more than it is high */
	draw(lines: readonly string[]): void {
		const text = lines.map((line) => `${line}${ERASE_LINE_END}`).join("\r\n");
		if (!this.isTaken || text === this.shown) return;
		this.shown = text;
		process.stdout.write(`${HOME}${text}${ERASE_BELOW}`);
	}

	/** Gives the terminal back. */
	close(): void {
		process.off("exit", this.leaveOnExit);
		process.stdout.off("resize", this.redraw);
		process.stdin.off("data", this.hearKey);
		this.leave();
		process.stdin.pause();
	}

	private enter(): void {
		this.isTaken = true;
		if (process.stdin.isTTY) process.stdin.setRawMode(true);
		process.stdout.write(ENTER);
	}

	private leave(): void {
		if (!this.isTaken) return;
		this.isTaken = false;
		// A terminal that has gone needs nothing back.
		try {
			if (process.stdin.isTTY) process.stdin.setRawMode(false);
			process.stdout.write(LEAVE);
		} catch {}
	}

	private take(keys: string): void {
		if (keys.includes("q") || keys.includes(CTRL_C) || keys.includes(CTRL_D)) this.onQuit();
		else if (keys.includes(CTRL_Z)) this.suspend();
	}

	private suspend(): void {
		this.leave();
		process.once("SIGCONT", () => {
			this.enter();
			this.redraw();
		});
		process.kill(process.pid, "SIGTSTP");
	}
}
