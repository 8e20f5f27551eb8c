// Questions to the archive on their way to its thread: one at a time, few waiting, fewer of one
// address, each for a bounded time. The server only hands on, so that a stop is never behind them.
// A thread that is lost or stuck is ended; the next question gets a new one. Imports no archive.

import { type Handler, Hono } from "hono";
import type { ContentfulStatusCode } from "hono/utils/http-status";
import type { Session } from "../web/scene.ts";
import { Refusal, type ServeEnv } from "./context.ts";

/** As the thread gets it. A question without a body only reads. */
export interface Asked {
	readonly url: string;
	readonly body: Uint8Array<ArrayBuffer> | null;
	readonly session: Session;
}

export type ThreadAnswer =
	| {
			readonly status: number;
			readonly headers: Readonly<Record<string, string>>;
			readonly body: Uint8Array<ArrayBuffer>;
	  }
	/** A fault of ours. */
	| { readonly fault: string };

/** Does one question at a time. */
export interface ArchiveHand {
	take(asked: Asked): Promise<ThreadAnswer>;
	end(): Promise<void>;
}

export interface DeskParts {
	/** Begins a thread. */
	readonly open: () => ArchiveHand;
	/** One answer may take so long, ms. */
	readonly patienceMs?: number;
}

const READS = ["/api/rigs", "/api/season", "/report.html", "/report.pdf", "/api/notes"];
const PHOTOS = "/api/photos";
const WRITES = ["/api/notes", "/api/notes/strike", PHOTOS];

/** Under way and waiting, in all and of one address: a photo that waits has six megabytes. */
const WAITING_MAX = 12;
const OF_ONE_MAX = 4;
/** A report of many years on a small board takes a while. */
const PATIENCE_MS = 120_000;

export class ArchiveDesk {
	private readonly parts: DeskParts;
	private hand: ArchiveHand | null = null;
	private last: Promise<unknown> = Promise.resolve();
	private waiting = 0;
	private readonly ofOne = new Map<string, number>();
	private isClosed = false;

	constructor(parts: DeskParts) {
		this.parts = parts;
	}

	routes(): Hono<ServeEnv> {
		const app = new Hono<ServeEnv>();
		const read = this.handler(async () => null);
		for (const path of [...READS, PHOTOS]) app.get(path, read);
		const write = this.handler(async (c) => {
			// Who may not write is refused without that what he sends is read.
			if (c.get("session").may === "look") return new Uint8Array();
			return new Uint8Array(await c.req.arrayBuffer());
		});
		for (const path of WRITES) app.post(path, write);
		return app;
	}

	/**
	 * @param read the question, once there is a place for it
	 * @param isWanted false: whoever asked has gone, and nothing is done
	 * @throws Refusal when there are too many, or no answer comes
	 */
	async ask(
		address: string,
		read: () => Promise<Asked>,
		isWanted = () => true,
	): Promise<ThreadAnswer> {
		const own = this.ofOne.get(address) ?? 0;
		if (this.waiting >= WAITING_MAX || own >= OF_ONE_MAX) {
			const what = "too much is being asked of the archive";
			throw new Refusal(503, { what, allowed: "the same a little later" });
		}
		this.waiting += 1;
		this.ofOne.set(address, own + 1);
		try {
			const asked = await read();
			const turn = this.last.then(() => {
				if (!isWanted()) throw new Refusal(503, { what: "whoever asked this has gone" });
				return this.takeTurn(asked);
			});
			this.last = turn.catch(() => {});
			return await turn;
		} finally {
			this.waiting -= 1;
			const left = (this.ofOne.get(address) ?? 1) - 1;
			if (left === 0) this.ofOne.delete(address);
			else this.ofOne.set(address, left);
		}
	}

	async close(): Promise<void> {
		this.isClosed = true;
		await this.hand?.end();
	}

	private handler(
		bodyOf: (c: Parameters<Handler<ServeEnv>>[0]) => Promise<Asked["body"]>,
	): Handler<ServeEnv> {
		return async (c) => {
			const address = c.env.incoming.socket.remoteAddress ?? "";
			const { outgoing } = c.env;
			const read = async () => {
				const { url } = c.req;
				return { url, body: await bodyOf(c), session: c.get("session") };
			};
			const answer = await this.ask(address, read, () => !outgoing.destroyed);
			if ("fault" in answer) throw new Error(answer.fault);
			return c.body(answer.body, answer.status as ContentfulStatusCode, answer.headers);
		};
	}

	private async takeTurn(asked: Asked): Promise<ThreadAnswer> {
		if (this.isClosed) throw new Refusal(503, { what: "the server ends" });
		this.hand ??= this.parts.open();
		const { hand } = this;
		let timer: NodeJS.Timeout | undefined;
		const late = new Promise<null>((resolve) => {
			timer = setTimeout(() => resolve(null), this.parts.patienceMs ?? PATIENCE_MS);
		});
		let answer: ThreadAnswer | null = null;
		try {
			answer = await Promise.race([hand.take(asked), late]);
		} catch (error) {
			// It was ended in mid-work, by us.
			if (!this.isClosed) throw error;
		} finally {
			clearTimeout(timer);
			if (answer === null) await this.drop(hand);
		}
		if (answer !== null) return answer;
		const allowed = "the same again: a note that was kept is not kept twice";
		throw new Refusal(504, { what: "no answer came from the archive", allowed });
	}

	private async drop(hand: ArchiveHand): Promise<void> {
		this.hand = null;
		await hand.end();
	}
}
