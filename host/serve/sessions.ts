// Sessions of pages that were paired: a random name in a cookie, kept here only as its hash, ended
// by idling, by age, by the page, or because another controller is at the other end of the link. A
// session opens the door to an order; whether the order is taken the controller decides.

import { createHash, randomBytes, timingSafeEqual } from "node:crypto";
import type { Session } from "../web/scene.ts";

export const IDLE_MS = 30 * 60_000;
export const LIFE_MS = 12 * 3_600_000;
/** The one that was used longest ago makes room for a new one. */
export const SESSIONS_MAX = 32;
/** 256 bits, drawn by the system's generator. */
const TOKEN_BYTES = 32;
const TOKEN_FORM = /^[\w-]{43}$/;

export type Level = "order" | "note";

interface Open {
	readonly hash: Buffer;
	readonly may: Level;
	/** Log of the controller that showed the code; null where the server did. */
	readonly storeId: string | null;
	readonly bornMs: number;
	usedMs: number;
}

const LOOKS: Session = { may: "look", endsInMs: null };

export class Sessions {
	private open: Open[] = [];
	private readonly clock: () => number;

	/** @param clock monotonic milliseconds */
	constructor(clock: () => number) {
		this.clock = clock;
	}

	/** @returns its name, always a new one: what a page brought along never becomes a session */
	begin(may: Level, storeId: string | null): string {
		const token = randomBytes(TOKEN_BYTES).toString("base64url");
		const nowMs = this.clock();
		this.forget(nowMs);
		if (this.open.length >= SESSIONS_MAX) {
			const oldest = this.open.reduce((a, b) => (b.usedMs < a.usedMs ? b : a));
			this.open = this.open.filter((one) => one !== oldest);
		}
		this.open.push({ hash: hashOf(token), may, storeId, bornMs: nowMs, usedMs: nowMs });
		return token;
	}

	/** Looking does not keep it alive. @param storeId of the controller there is now, if any */
	look(token: string | null, storeId: string | null): Session {
		const nowMs = this.clock();
		const open = this.find(token, storeId, nowMs);
		if (open === null) return LOOKS;
		const endsInMs = Math.min(open.usedMs + IDLE_MS, open.bornMs + LIFE_MS) - nowMs;
		return { may: open.may, endsInMs };
	}

	/** The same for who does something with it. */
	use(token: string | null, storeId: string | null): Session {
		const open = this.find(token, storeId, this.clock());
		if (open !== null) open.usedMs = this.clock();
		return this.look(token, storeId);
	}

	end(token: string | null): void {
		const open = this.find(token, null, this.clock());
		this.open = this.open.filter((one) => one !== open);
	}

	private find(token: string | null, storeId: string | null, nowMs: number): Open | null {
		this.forget(nowMs);
		if (token === null || !TOKEN_FORM.test(token)) return null;
		const hash = hashOf(token);
		// All are compared, each in the same time, whichever it is.
		let found: Open | null = null;
		for (const one of this.open) if (timingSafeEqual(one.hash, hash)) found = one;
		const isOthers = found?.storeId !== storeId && storeId !== null && found?.may === "order";
		return isOthers ? null : found;
	}

	private forget(nowMs: number): void {
		this.open = this.open.filter(
			({ usedMs, bornMs }) => nowMs - usedMs < IDLE_MS && nowMs - bornMs < LIFE_MS,
		);
	}
}

const hashOf = (token: string): Buffer => createHash("sha256").update(token).digest();

/** The value of the cookie with this name; null when there is none, or more than one. */
export function cookieOf(header: string | undefined, name: string): string | null {
	const values = (header ?? "").split(";").flatMap((pair) => {
		const at = pair.indexOf("=");
		return pair.slice(0, at).trim() === name ? [pair.slice(at + 1).trim()] : [];
	});
	return values.length === 1 ? (values[0] ?? null) : null;
}

/** Other ports of this computer get this cookie too: its name tells them apart. */
export const cookieName = (port: number): string => `lees-${port}`;

const FLAGS = "Path=/; HttpOnly; SameSite=Strict";

export const cookieFor = (name: string, token: string): string =>
	`${name}=${token}; ${FLAGS}; Max-Age=${LIFE_MS / 1000}`;

export const cookieGone = (name: string): string => `${name}=; ${FLAGS}; Max-Age=0`;
