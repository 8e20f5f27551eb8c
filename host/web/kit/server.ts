// Asking the server that gave this page: JSON there and back, an end to the waiting, and errors as
// the server words them. The browser's own fetch.

/** After so long an answer will not come, ms. */
const PATIENCE_MS = 10_000;

/** The server said no, in its words. */
export class ServerRefusal extends Error {
	readonly status: number;
	readonly body: unknown;

	constructor(status: number, body: unknown, what: string) {
		super(what);
		this.status = status;
		this.body = body;
	}
}

/** @throws ServerRefusal, or what fetch throws where nobody answers */
export async function ask(method: "GET" | "POST", path: string, body?: unknown): Promise<unknown> {
	const init: RequestInit = { method, signal: AbortSignal.timeout(PATIENCE_MS) };
	if (method === "POST") {
		init.headers = { "content-type": "application/json" };
		init.body = JSON.stringify(body ?? {});
	}
	const answer = await fetch(path, init);
	const found: unknown = await answer.json().catch(() => null);
	if (answer.ok) return found;
	throw new ServerRefusal(answer.status, found, wordsOf(found) ?? `HTTP ${answer.status}`);
}

/** Errors come as `{error: {what, found?, allowed?}}`. */
function wordsOf(body: unknown): string | null {
	if (typeof body !== "object" || body === null || !("error" in body)) return null;
	const { error } = body;
	if (typeof error !== "object" || error === null || !("what" in error)) return null;
	const extra = ["found", "allowed"].flatMap((key) => {
		const value: unknown = Reflect.get(error, key);
		return value === undefined ? [] : [`${key}: ${String(value)}`];
	});
	return [String(error.what), ...extra].join("; ");
}
