// How often something may be tried by all clients together, and how long nothing may be tried after
// several failures: each time twice as long. One guesser must not learn a code in a night. Pure.

export interface TryRules {
	readonly perMinute: number;
	/** So many failures in a row lock it; without it none do. */
	readonly failuresToLock?: number;
	readonly lockMs?: number;
	readonly lockMsMax?: number;
}

const MINUTE_MS = 60_000;

export class TryLimits {
	private readonly rules: TryRules;
	/** When the last ones were made, ms; never more than a minute's. */
	private made: number[] = [];
	private failures = 0;
	private locks = 0;
	private lockedUntilMs = 0;

	constructor(rules: TryRules) {
		this.rules = rules;
	}

	/** @returns 0 when it may be tried and is counted now, else ms until it may */
	take(nowMs: number): number {
		if (nowMs < this.lockedUntilMs) return this.lockedUntilMs - nowMs;
		this.made = this.made.filter((atMs) => nowMs - atMs < MINUTE_MS);
		const [first] = this.made;
		if (first !== undefined && this.made.length >= this.rules.perMinute) {
			return first + MINUTE_MS - nowMs;
		}
		this.made.push(nowMs);
		return 0;
	}

	fail(nowMs: number): void {
		const { failuresToLock = Number.POSITIVE_INFINITY, lockMs = 0, lockMsMax = 0 } = this.rules;
		this.failures += 1;
		if (this.failures < failuresToLock) return;
		this.failures = 0;
		this.lockedUntilMs = nowMs + Math.min(lockMsMax, lockMs * 2 ** this.locks);
		// Far enough for the longest; further on the power would only grow.
		this.locks = Math.min(this.locks + 1, 30);
	}

	/** Somebody knew it: what came before was a person's slips. */
	succeed(): void {
		this.failures = 0;
		this.locks = 0;
	}
}
