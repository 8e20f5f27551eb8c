// How long ago something came, counted on while nothing comes, and while a phone sleeps. Imports
// Preact alone.

import { useEffect, useState } from "preact/hooks";

/** Two clocks: one stands still while a phone sleeps, the other may be set. */
const mark = () => ({ wall: Date.now(), steady: performance.now() });

/**
 * @param thing whose identity changes when a new one has come
 * @param agoMs its age when it came, or null where that is unknown
 * @returns its age now, ms; told anew once a second
 */
export function useAge(thing: unknown, agoMs: number | null): number | null {
	const [came, setCame] = useState(() => ({ thing, ...mark() }));
	const [, tellAgain] = useState(0);
	useEffect(() => {
		const timer = setInterval(() => tellAgain((n) => n + 1), 1_000);
		return () => clearInterval(timer);
	}, []);
	let since = came;
	if (came.thing !== thing) {
		since = { thing, ...mark() };
		setCame(since);
	}
	if (agoMs === null) return null;
	const now = mark();
	return agoMs + Math.max(0, now.wall - since.wall, now.steady - since.steady);
}
