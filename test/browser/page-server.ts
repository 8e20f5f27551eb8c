// The built pages over HTTP with a feed that a test words: the lowest seam under a page. It answers
// under the headers that the real server sends, keeps what was asked of it, and can be away.

import { readFileSync } from "node:fs";
import { createServer, type IncomingMessage, type Server, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import { extname, join } from "node:path";
import type { Point, SceneNow, Series } from "../../host/web/scene.ts";
import { root } from "../stories/world.ts";

const BUILT = join(root, ".build/web");
const PAGES: Readonly<Record<string, string>> = {
	"/": "live.html",
	"/bench": "bench.html",
	"/season": "season.html",
	"/logbook": "logbook.html",
	"/card": "card.html",
};
const TYPES: Readonly<Record<string, string>> = {
	".html": "text/html; charset=utf-8",
	".js": "text/javascript",
	".css": "text/css",
	".svg": "image/svg+xml",
};
const HEADERS = {
	"content-security-policy":
		"default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'self'",
	"x-content-type-options": "nosniff",
	"cache-control": "no-store",
};
const AGAIN_MS = 500;

/** Status and body. */
type Reply = readonly [status: number, body: unknown];

export class PageServer {
	/** What was posted, first to last. */
	readonly asked: Array<{ readonly path: string; readonly body: unknown }> = [];
	/** By path; what is not in here is not found. */
	readonly replies: Record<string, (body: unknown) => Reply> = {};
	private scene: SceneNow;
	private series: Series;
	private readonly feeds = new Set<ServerResponse>();
	private server: Server;
	private readonly timer: NodeJS.Timeout;
	private port = 0;

	private constructor(scene: SceneNow, series: Series) {
		this.scene = scene;
		this.series = series;
		this.server = this.made();
		this.timer = setInterval(() => this.tell(this.scene), AGAIN_MS);
	}

	static async open(scene: SceneNow, series: Series): Promise<PageServer> {
		const server = new PageServer(scene, series);
		await server.listen();
		return server;
	}

	get address(): string {
		return `http://127.0.0.1:${this.port}`;
	}

	/** To everybody who looks, now and again. */
	tell(scene: SceneNow): void {
		this.scene = scene;
		for (const feed of this.feeds) send(feed, "scene", scene);
	}

	draw(series: Series): void {
		this.series = series;
		for (const feed of this.feeds) send(feed, "series", series);
	}

	add(point: Point): void {
		for (const feed of this.feeds) send(feed, "point", point);
	}

	/** It is gone, its lines are cut. */
	async leave(): Promise<void> {
		const gone = new Promise((resolve) => this.server.close(resolve));
		this.server.closeAllConnections();
		this.feeds.clear();
		await gone;
	}

	/** At the same address. */
	async return(): Promise<void> {
		this.server = this.made();
		await this.listen();
	}

	async close(): Promise<void> {
		clearInterval(this.timer);
		if (this.server.listening) await this.leave();
	}

	private listen(): Promise<void> {
		return new Promise((resolve) => {
			this.server.listen(this.port, "127.0.0.1", () => {
				this.port = (this.server.address() as AddressInfo).port;
				resolve();
			});
		});
	}

	private made(): Server {
		return createServer((request, response) => {
			this.answer(request, response).catch(() => response.destroy());
		});
	}

	private async answer(request: IncomingMessage, response: ServerResponse): Promise<void> {
		const path = new URL(request.url ?? "/", "http://page").pathname;
		if (request.method === "POST") {
			const body = JSON.parse(await textOf(request));
			this.asked.push({ path, body });
			const [status, answer] = this.replies[path]?.(body) ?? [404, {}];
			response.writeHead(status, { ...HEADERS, "content-type": "application/json" });
			response.end(JSON.stringify(answer));
			return;
		}
		if (path === "/api/feed") {
			response.writeHead(200, { ...HEADERS, "content-type": "text/event-stream" });
			this.feeds.add(response);
			response.on("close", () => this.feeds.delete(response));
			send(response, "scene", this.scene);
			send(response, "series", this.series);
			return;
		}
		const file = PAGES[path] ?? path.slice(1);
		const type = TYPES[extname(file)];
		if (type === undefined || file.includes("..")) {
			response.writeHead(404, HEADERS).end();
			return;
		}
		response.writeHead(200, { ...HEADERS, "content-type": type });
		response.end(readFileSync(join(BUILT, file)));
	}
}

function send(feed: ServerResponse, event: string, data: unknown): void {
	feed.write(`event: ${event}\ndata: ${JSON.stringify(data)}\n\n`);
}

async function textOf(request: IncomingMessage): Promise<string> {
	const parts: Buffer[] = [];
	for await (const part of request) parts.push(part as Buffer);
	return Buffer.concat(parts).toString();
}
