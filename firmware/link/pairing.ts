// Pairing: a page may order only after somebody has typed in the code that the controller shows
// where it stands. A code lives for minutes, is used once, and few tries are made at one. Pure; time
// and the draw are arguments.

export const CODE_MS = 180_000;
const SHOW_EVERY_MS = 10_000;
export const TRIES = 5;

export interface PairingParts {
	/** Six digits that nobody can foresee. */
	readonly draw: () => string;
	/** Puts a code where a person at the controller sees it. */
	readonly show: (code: string) => void;
	/** Monotonic milliseconds. */
	readonly clock: () => number;
}

export class Pairing {
	private readonly parts: PairingParts;
	private code: { readonly digits: string; readonly shownMs: number; triesLeft: number } | null =
		null;
	private shownMs = Number.NEGATIVE_INFINITY;

	constructor(parts: PairingParts) {
		this.parts = parts;
	}

	/**
	 * Shows a new code, the one before ends. Not too often: who asks without end fills the terminal.
	 * @returns seconds until another one may be asked for; `isShown` false when it was too soon
	 */
	show(): { isShown: boolean; waitSeconds: number } {
		const { draw, show, clock } = this.parts;
		const nowMs = clock();
		const waitMs = this.shownMs + SHOW_EVERY_MS - nowMs;
		if (waitMs > 0) return { isShown: false, waitSeconds: Math.ceil(waitMs / 1000) };
		this.shownMs = nowMs;
		this.code = { digits: draw(), shownMs: nowMs, triesLeft: TRIES };
		show(this.code.digits);
		return { isShown: true, waitSeconds: SHOW_EVERY_MS / 1000 };
	}

	/** @returns how many tries at the code that is shown are left; none where none is shown */
	check(digits: string): { isRight: boolean; triesLeft: number } {
		const { code } = this;
		const isOver = code === null || this.parts.clock() - code.shownMs > CODE_MS;
		if (isOver || code.triesLeft === 0) return { isRight: false, triesLeft: 0 };
		code.triesLeft -= 1;
		const isRight = digits === code.digits;
		if (isRight) this.code = null;
		return { isRight, triesLeft: isRight ? 0 : code.triesLeft };
	}
}
