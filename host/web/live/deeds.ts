// What the live page's buttons do, asked of the server. A command keeps its id until an answer has
// come, so that asking again does it once.

import type { Work } from "../../../firmware/cycle/order-schemas.ts";
import { newId } from "../kit/new-id.ts";
import { ask, ServerRefusal } from "../kit/server.ts";
import type { Answer, Deeds } from "../scene.ts";
import { NotSent } from "./not-sent.ts";

/** A later press of the same button is meant as a new command, ms. */
const SAME_MS = 120_000;

/** @param onSession called when the session has begun or ended */
export function serverDeeds(onSession: () => void): Deeds {
	/** Ids of what was sent and not answered yet, by what was sent. */
	const open = new Map<string, { readonly id: string; readonly atMs: number }>();
	const command = async (path: string, body: object): Promise<Answer> => {
		const key = `${path} ${JSON.stringify(body)}`;
		const before = open.get(key);
		const isSame = before !== undefined && Date.now() - before.atMs < SAME_MS;
		const { id } = isSame ? before : { id: newId() };
		if (!isSame) open.set(key, { id, atMs: Date.now() });
		try {
			const answer = answerOf(await ask("POST", path, { id, ...body }));
			open.delete(key);
			return answer;
		} catch (error) {
			if (!(error instanceof ServerRefusal) || isMaybeTaken(error)) throw error;
			// Nothing went to the controller.
			open.delete(key);
			if (error.status >= 500) throw new NotSent(error.message);
			if (error.status === 401 || error.status === 403) onSession();
			return { accepted: false, reasons: [error.message] };
		}
	};
	return {
		// Each press is a stop of its own: an old one's id would be taken for done already.
		stop: async () => answerOf(await ask("POST", "/api/stop", { id: newId() })),
		order: (work: Work, isCoverageSeen) => command("/api/order", { work, isCoverageSeen }),
		acknowledge: () => command("/api/acknowledge", {}),
		showCode: async () => shownOf(await ask("POST", "/api/pair/show")),
		pair: async (code) => {
			try {
				await ask("POST", "/api/pair", { code });
				onSession();
				return null;
			} catch (error) {
				if (error instanceof ServerRefusal && error.status === 403) {
					return numberOf(error.body, "triesLeft") ?? 0;
				}
				throw error;
			}
		},
		unpair: async () => {
			await ask("POST", "/api/unpair");
			onSession();
		},
	};
}

/** The server says where it is certain that nothing was sent. */
function isMaybeTaken({ status, body }: ServerRefusal): boolean {
	if (status < 500) return false;
	const said = typeof body === "object" && body !== null ? Reflect.get(body, "isMaybeTaken") : null;
	return status !== 503 && said !== false;
}

function answerOf(body: unknown): Answer {
	if (typeof body !== "object" || body === null) throw new Error("no answer");
	const reasons: unknown = Reflect.get(body, "reasons");
	return {
		accepted: Reflect.get(body, "accepted") === true,
		reasons: Array.isArray(reasons) ? reasons.map(String) : [],
	};
}

function shownOf(body: unknown): { isShown: boolean; waitSeconds: number } {
	const isShown =
		typeof body === "object" && body !== null && Reflect.get(body, "isShown") === true;
	return { isShown, waitSeconds: numberOf(body, "waitSeconds") ?? 0 };
}

function numberOf(body: unknown, key: string): number | null {
	if (typeof body !== "object" || body === null) return null;
	const value: unknown = Reflect.get(body, key);
	return typeof value === "number" ? value : null;
}
