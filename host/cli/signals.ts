// How a command that goes on by itself is told to end: by the keyboard or by a signal. The first
// one ends it in good order; the same again ends it at once. Imports Node only.

const NAMES = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/** @returns a signal that is aborted at the end, and the way to abort it */
export function endSignal(): { readonly signal: AbortSignal; readonly end: () => void } {
	const controller = new AbortController();
	const end = () => controller.abort();
	for (const name of NAMES) process.once(name, end);
	return { signal: controller.signal, end };
}
