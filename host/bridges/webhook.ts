// Hands a message to an address by POST, as JSON. It follows no redirect, since that could lead off
// this computer, reads nothing of the answer but its status, and waits for a bounded time. Imports
// nothing: Node's own fetch.

import type { Message } from "./news.ts";
import type { Failure } from "./outbox.ts";

const TIMEOUT_MS = 10_000;
/** Refusals that may be none a little later: too slow, too early, too many. */
const LATER: readonly number[] = [408, 425, 429];

export async function postMessage(
	url: URL,
	message: Message,
	signal: AbortSignal,
	timeoutMs = TIMEOUT_MS,
): Promise<Failure> {
	const timeout = AbortSignal.timeout(timeoutMs);
	try {
		const response = await fetch(url, {
			method: "POST",
			headers: { "content-type": "application/json", "user-agent": "lees" },
			body: JSON.stringify(message),
			redirect: "manual",
			signal: AbortSignal.any([timeout, signal]),
		});
		await response.body?.cancel().catch(() => {});
		const { ok, status } = response;
		if (ok) return null;
		const isRefusal = status >= 400 && status < 500 && !LATER.includes(status);
		return { why: `it answers with ${status}`, isFinal: isRefusal };
	} catch (error) {
		if (timeout.aborted) return { why: `no answer within ${timeoutMs / 1_000} s`, isFinal: false };
		return { why: `no answer (${codeOf(error)})`, isFinal: false };
	}
}

/** As `ECONNREFUSED`: fetch keeps it inside. */
function codeOf(error: unknown): string {
	const { cause } = error instanceof Error ? error : { cause: undefined };
	const code = typeof cause === "object" && cause !== null ? Reflect.get(cause, "code") : undefined;
	return typeof code === "string" ? code : "no connection";
}
