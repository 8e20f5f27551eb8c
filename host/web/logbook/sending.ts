// Notes on their way: each is sent as what it is, with how long it waited, until the server has it
// or will not have it. Uses the browser's fetch through the kit.

import { ask, ServerRefusal } from "../kit/server.ts";
import type { Outbox, Waiting } from "./outbox.ts";

/** A name that nobody had noted before. */
export interface Slip {
	readonly what: "rig" | "tank";
	readonly name: string;
	readonly known: readonly string[];
}

export interface Problem {
	/** The field, where it is one's. */
	readonly what: string;
	readonly found?: string;
	readonly allowed?: string;
}

/** What became of a note that was sent. */
export type Sent =
	| { readonly is: "added" | "known"; readonly slip: Slip | null }
	| { readonly is: "refused"; readonly problems: readonly Problem[]; readonly isTaken: boolean }
	| { readonly is: "unpaired" | "lost" };

const PHOTO_PATIENCE_MS = 60_000;
const TOO_MANY = 429;

/** Sends one; takes it out of the outbox, or says in it why it stays. */
export async function sendOne(outbox: Outbox, one: Waiting): Promise<Sent> {
	try {
		const sent: Sent = one.isNoted ? { is: "known", slip: null } : await sendNote(one);
		if (one.photo !== null) {
			outbox.change(one.id, { isNoted: true });
			await sendPhoto(one.id, one.photo);
		}
		outbox.drop(one.id);
		return sent;
	} catch (error) {
		const isNo = error instanceof ServerRefusal && error.status < 500 && error.status !== TOO_MANY;
		if (!isNo) return { is: "lost" };
		if (error.status === 401) return { is: "unpaired" };
		outbox.change(one.id, { refused: error.message });
		return { is: "refused", problems: problemsIn(error.body), isTaken: error.status === 409 };
	}
}

async function sendNote({ id, kind, rig, fields, writtenMs }: Waiting): Promise<Sent> {
	const ageMs = Math.max(0, Date.now() - writtenMs);
	const entry = { ...fields, kind, id, ageMs, ...(rig === null ? {} : { rig }) };
	const answer = await ask("POST", "/api/notes", entry);
	const { outcome, slip } = answer as { outcome: "added" | "known"; slip: Slip | null };
	return { is: outcome, slip };
}

/** @throws ServerRefusal, or what fetch throws where nobody answers */
async function sendPhoto(id: string, photo: string): Promise<void> {
	const answer = await fetch(`/api/photos?note=${encodeURIComponent(id)}`, {
		method: "POST",
		headers: { "content-type": "image/jpeg" },
		body: bytesOf(photo),
		signal: AbortSignal.timeout(PHOTO_PATIENCE_MS),
	});
	if (answer.ok) return;
	const body: unknown = await answer.json().catch(() => null);
	const [first] = problemsIn(body);
	const said = [first?.what, first?.found, first?.allowed].filter((part) => part !== undefined);
	throw new ServerRefusal(answer.status, body, said.join("; ") || `HTTP ${answer.status}`);
}

/** Of a data address in base64. */
function bytesOf(address: string): Uint8Array<ArrayBuffer> {
	const letters = atob(address.slice(address.indexOf(",") + 1));
	return Uint8Array.from(letters, (letter) => letter.charCodeAt(0));
}

function problemsIn(body: unknown): Problem[] {
	if (typeof body !== "object" || body === null) return [];
	const { problems, error } = body as { problems?: unknown; error?: unknown };
	const rows: unknown[] = Array.isArray(problems) ? problems : [error];
	return rows.filter(
		(row): row is Problem => typeof row === "object" && row !== null && "what" in row,
	);
}
