// The live feed: server-sent events to a bounded number of pages. What a page has not read yet is
// never piled up: a scene that finds the way full is left out, since the next one tells more, and a
// page that reads nothing for long is dropped. Imports Node's response only.

import type { ServerResponse } from "node:http";
import type { Point, Series, Session } from "../web/scene.ts";
import { withSession } from "./scene-text.ts";

const CLIENTS_MAX = 24;
/** Of one address: a phone and its tabs, and no crowd. */
const CLIENTS_OF_ONE_MAX = 8;
const SCENE_EVERY_MS = 1_000;
/** Changes that come together are told together, ms. */
const GATHER_MS = 100;
const SERIES_EVERY_MS = 30_000;
/** A way that stays full for so long has nobody at its end, ms. */
const STUCK_MS = 15_000;
/** After a loss the page comes back after so long, ms. */
const RETRY_MS = 2_000;

export interface FeedParts {
	/** The scene as JSON that lacks its end. */
	readonly scene: () => string;
	readonly series: () => { readonly version: number; readonly now: Series };
	/** Of the page with this cookie. */
	readonly sessionOf: (token: string | null) => Session;
	readonly stuckMs?: number;
}

interface Page {
	readonly response: ServerResponse;
	readonly address: string;
	readonly token: string | null;
	/** Since when nothing more fits on its way; null while it does. */
	fullSinceMs: number | null;
	/** Version and time of the series that it has. */
	seriesVersion: number;
	seriesMs: number;
}

export class Feed {
	private readonly parts: FeedParts;
	private readonly pages = new Set<Page>();
	private readonly timer: NodeJS.Timeout;
	private gathering: NodeJS.Timeout | null = null;

	constructor(parts: FeedParts) {
		this.parts = parts;
		this.timer = setInterval(() => this.everySecond(), SCENE_EVERY_MS);
	}

	get size(): number {
		return this.pages.size;
	}

	/** @returns false when there are too many, or it has no way yet; nothing is written then */
	open(
		response: ServerResponse,
		address: string,
		token: string | null,
		headers: Readonly<Record<string, string>>,
	): boolean {
		// Behind another answer of its connection it would never be told that the page has gone.
		if (response.socket === null) return false;
		const ofOne = [...this.pages].filter((page) => page.address === address).length;
		if (this.pages.size >= CLIENTS_MAX || ofOne >= CLIENTS_OF_ONE_MAX) return false;
		const page = {
			response,
			address,
			token,
			fullSinceMs: null,
			seriesVersion: -1,
			seriesMs: Number.NEGATIVE_INFINITY,
		};
		this.pages.add(page);
		response.once("close", () => this.pages.delete(page));
		response.on("error", () => {});
		response.writeHead(200, { ...headers, "content-type": "text/event-stream" });
		response.write(`retry: ${RETRY_MS}\n\n`);
		this.sendScene(page, this.parts.scene());
		this.sendSeries(page);
		return true;
	}

	/** Something is otherwise than it was told. */
	changed(): void {
		this.gathering ??= setTimeout(() => {
			this.gathering = null;
			this.sendScenes();
		}, GATHER_MS);
	}

	point(point: Point): void {
		const text = JSON.stringify(point);
		for (const page of this.pages) {
			// A page that misses one gets the series anew.
			if (!this.send(page, "point", text)) page.seriesVersion = -1;
		}
	}

	close(): void {
		clearInterval(this.timer);
		if (this.gathering !== null) clearTimeout(this.gathering);
		for (const { response } of this.pages) response.end();
	}

	private everySecond(): void {
		const nowMs = performance.now();
		const { stuckMs = STUCK_MS } = this.parts;
		for (const { fullSinceMs, response } of this.pages) {
			if (fullSinceMs !== null && nowMs - fullSinceMs > stuckMs) response.destroy();
		}
		this.sendScenes();
		const { version } = this.parts.series();
		for (const page of this.pages) {
			const isOld = nowMs - page.seriesMs > SERIES_EVERY_MS;
			if (isOld || page.seriesVersion !== version) this.sendSeries(page);
		}
	}

	private sendScenes(): void {
		if (this.pages.size === 0) return;
		const scene = this.parts.scene();
		for (const page of this.pages) this.sendScene(page, scene);
	}

	private sendScene(page: Page, scene: string): void {
		this.send(page, "scene", withSession(scene, this.parts.sessionOf(page.token)));
	}

	private sendSeries(page: Page): void {
		const { version, now } = this.parts.series();
		if (!this.send(page, "series", JSON.stringify(now))) return;
		page.seriesVersion = version;
		page.seriesMs = performance.now();
	}

	/** @returns false when the way is full and nothing was written */
	private send(page: Page, event: string, data: string): boolean {
		const { response } = page;
		if (response.destroyed || response.writableEnded) return false;
		if (response.writableNeedDrain) {
			page.fullSinceMs ??= performance.now();
			return false;
		}
		page.fullSinceMs = null;
		response.write(`event: ${event}\ndata: ${data}\n\n`);
		return true;
	}
}
