// A page of `lees serve` as the tests play it: what a browser would send, the cookie it keeps, the
// events it reads; and a bare socket for what no browser sends.

import { connect } from "node:net";
import type { Point, SceneNow, Series } from "../../host/web/scene.ts";
import { until } from "./live.ts";
import type { Served } from "./serve-rig.ts";

export interface Answered {
	readonly status: number;
	readonly headers: Headers;
	// biome-ignore lint/suspicious/noExplicitAny: an answer of any shape, which the test looks at
	readonly body: any;
}

export class Page {
	readonly served: Served;
	cookie: string | null = null;
	readonly scenes: SceneNow[] = [];
	readonly series: Series[] = [];
	readonly points: Point[] = [];
	private readonly ending = new AbortController();

	constructor(served: Served) {
		this.served = served;
	}

	get(path: string, headers: Record<string, string> = {}): Promise<Answered> {
		return this.ask(path, { headers: { ...this.carried, ...headers } });
	}

	/** As a page's own script posts. */
	async post(
		path: string,
		body: unknown = {},
		headers: Record<string, string> = {},
	): Promise<Answered> {
		const { origin } = this.served;
		const own = { origin, "sec-fetch-site": "same-origin", "content-type": "application/json" };
		const answered = await this.ask(path, {
			method: "POST",
			headers: { ...own, ...this.carried, ...headers },
			body: typeof body === "string" ? body : JSON.stringify(body),
		});
		const set = /^([^=]+=[^;]*);.*?Max-Age=(\d+)/.exec(answered.headers.get("set-cookie") ?? "");
		if (set !== null) this.cookie = set[2] === "0" ? null : (set[1] ?? null);
		return answered;
	}

	/** Asks for a code and types it in. */
	async pair(codes: readonly string[]): Promise<void> {
		const shown = await this.post("/api/pair/show");
		if (shown.body.isShown !== true) throw new Error(JSON.stringify(shown.body));
		const paired = await this.post("/api/pair", { code: codes.at(-1) });
		if (paired.status !== 200) throw new Error(JSON.stringify(paired.body));
	}

	/** Reads the feed from now on. */
	async look(): Promise<void> {
		const { signal } = this.ending;
		const response = await fetch(`${this.served.origin}/api/feed`, {
			headers: this.carried,
			signal,
		});
		if (response.status !== 200) throw new Error(`the feed answers ${response.status}`);
		void this.read(response).catch(() => {});
		await until(() => this.scenes.length > 0 && this.series.length > 0, 5);
	}

	get scene(): SceneNow {
		const scene = this.scenes.at(-1);
		if (scene === undefined) throw new Error("no scene has come");
		return scene;
	}

	close(): void {
		this.ending.abort();
	}

	private get carried(): Record<string, string> {
		return this.cookie === null ? {} : { cookie: this.cookie };
	}

	private async ask(path: string, init: RequestInit): Promise<Answered> {
		const response = await fetch(this.served.origin + path, { ...init, redirect: "manual" });
		const text = await response.text();
		const isJson = response.headers.get("content-type")?.startsWith("application/json") === true;
		const { status, headers } = response;
		return { status, headers, body: isJson ? JSON.parse(text) : text };
	}

	private async read(response: Response): Promise<void> {
		let text = "";
		const decoder = new TextDecoder();
		for await (const bytes of response.body ?? []) {
			text += decoder.decode(bytes, { stream: true });
			const parts = text.split("\n\n");
			text = parts.pop() ?? "";
			for (const part of parts) this.take(part);
		}
	}

	private take(part: string): void {
		const [, event, data] = /^event: (\w+)\ndata: (.*)$/.exec(part) ?? [];
		if (data === undefined) return;
		if (event === "scene") this.scenes.push(JSON.parse(data));
		else if (event === "series") this.series.push(JSON.parse(data));
		else if (event === "point") this.points.push(JSON.parse(data));
	}
}

/** Sends these bytes as they are. @returns all that came until the other end closed */
export function sendRaw(served: Served, pieces: readonly string[], betweenMs = 0): Promise<string> {
	const socket = connect(served.serving.port, "127.0.0.1");
	let said = "";
	socket.on("data", (bytes: Buffer) => {
		said += bytes.toString("latin1");
	});
	socket.on("error", () => {});
	const timers = pieces.map((piece, i) => setTimeout(() => socket.write(piece), i * betweenMs));
	return new Promise((resolve) => {
		socket.once("close", () => {
			for (const timer of timers) clearTimeout(timer);
			resolve(said);
		});
	});
}

/** As raw text, of a page of this server. */
export const headOf = (served: Served, ...more: readonly string[]): string =>
	[
		`POST /api/stop HTTP/1.1`,
		`Host: 127.0.0.1:${served.serving.port}`,
		`Origin: ${served.origin}`,
		"Content-Type: application/json",
		...more,
		"",
		"",
	].join("\r\n");
