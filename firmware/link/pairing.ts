// Pairing: a page may order only after somebody has typed in the code that the controller shows
// where it stands. A code lives for minutes, is used once, and few tries are made at one. Pure; time
// and the draw are arguments.
//
// The odds of a client that guesses: five tries at a code of six digits find it once in 200,000
// codes. At one code each 10 s a night of 12 h would give it 4,320 codes, 1 in 46. So codes that
// nobody used make the next one wait, twice as long each time up to ten minutes, and are forgotten
// only after two hours in which none was shown. The most codes that any client can then have shown
// in 12 h are 79, with 395 tries: 1 in 2,531; in 24 h 151 codes, 1 in 1,324. A pairing that comes
// about forgets the unused ones too, and may add eight codes to that, 1 in 25,000.

export const CODE_MS = 180_000;
export const TRIES = 5;
const SHOW_EVERY_MS = 10_000;
/** Unused codes that make nobody wait longer: whoever mistypes tries again. */
const UNUSED_FREE = 2;
const WAIT_MS_MAX = 600_000;
const FORGET_MS = 2 * 3_600_000;

export interface PairingParts {
	/** Six digits that nobody can foresee. */
	readonly draw: () => string;
	/**
	 * Puts a code where a person at the controller sees it. `unused` is how many before it in a row
	 * nobody has used: many tell of a client that guesses.
	 */
	readonly show: (code: string, unused: number) => void;
	/** Monotonic milliseconds. */
	readonly clock: () => number;
}

export class Pairing {
	private readonly parts: PairingParts;
	private code: { readonly digits: string; readonly shownMs: number; triesLeft: number } | null =
		null;
	private shownMs = Number.NEGATIVE_INFINITY;
	/** Codes in a row that nobody has used, the one that is shown not counted. */
	private unused = 0;

	constructor(parts: PairingParts) {
		this.parts = parts;
	}

	/**
	 * Shows a new code, the one before ends.
	 * @returns seconds until another one may be asked for; `isShown` false when it was too soon
	 */
	show(): { isShown: boolean; waitSeconds: number } {
		const { draw, show, clock } = this.parts;
		const nowMs = clock();
		const waitMs = this.shownMs + this.everyMs() - nowMs;
		if (waitMs > 0) return { isShown: false, waitSeconds: Math.ceil(waitMs / 1000) };
		if (nowMs - this.shownMs >= FORGET_MS) this.unused = 0;
		else if (this.code !== null) this.unused += 1;
		this.shownMs = nowMs;
		this.code = { digits: draw(), shownMs: nowMs, triesLeft: TRIES };
		show(this.code.digits, this.unused);
		return { isShown: true, waitSeconds: Math.ceil(this.everyMs() / 1000) };
	}

	/** @returns how many tries at the code that is shown are left; none where none is shown */
	check(digits: string): { isRight: boolean; triesLeft: number } {
		const { code } = this;
		const isOver = code === null || this.parts.clock() - code.shownMs > CODE_MS;
		if (isOver || code.triesLeft === 0) return { isRight: false, triesLeft: 0 };
		code.triesLeft -= 1;
		const isRight = digits === code.digits;
		if (isRight) {
			this.code = null;
			this.unused = 0;
		}
		return { isRight, triesLeft: isRight ? 0 : code.triesLeft };
	}

	/** Between the code that was shown last and the next one. */
	private everyMs(): number {
		const doublings = Math.max(0, this.unused - UNUSED_FREE);
		return Math.min(WAIT_MS_MAX, SHOW_EVERY_MS * 2 ** doublings);
	}
}
