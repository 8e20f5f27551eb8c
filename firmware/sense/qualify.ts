// A condition becomes a finding when it has held for its time, and ends when its opposite has.
// The edge carries the time at which it was due, so that one long step finds the same edges, in
// the same order, as many short ones.

export interface Qualifier {
	readonly on: boolean;
	/** Since when the opposite of `on` has been seen without a break; null when it is not seen. */
	readonly sinceMs: number | null;
}

export const UNQUALIFIED: Qualifier = { on: false, sinceMs: null };

export interface Edge {
	readonly on: boolean;
	readonly atMs: number;
}

/**
 * @param seen true, false, or null where the inputs say nothing: then no time counts
 * @returns the same object while nothing changes
 */
export function qualify(
	before: Qualifier,
	seen: boolean | null,
	onMs: number,
	offMs: number,
	nowMs: number,
): { state: Qualifier; edge?: Edge } {
	if (seen === null || seen === before.on) {
		return { state: before.sinceMs === null ? before : { on: before.on, sinceMs: null } };
	}
	const sinceMs = before.sinceMs ?? nowMs;
	const dueMs = sinceMs + (seen ? onMs : offMs);
	if (nowMs >= dueMs) {
		return { state: { on: seen, sinceMs: null }, edge: { on: seen, atMs: dueMs } };
	}
	return { state: before.sinceMs === null ? { on: before.on, sinceMs } : before };
}
