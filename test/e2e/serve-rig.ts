// A controller for the tests of `lees serve`: the link's real server on a real local socket, behind
// it a host of the test's own, which can die, come back, boot anew, and says what it was asked. And
// the real HTTP server before it, with small invented pages.

import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import type { Server, Socket } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Hono } from "hono";
import type { Command } from "../../firmware/cycle/commands.ts";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { Pairing } from "../../firmware/link/pairing.ts";
import type { Decision, Senses, Status } from "../../firmware/link/protocol.ts";
import { RigText } from "../../firmware/link/rig-text.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import type { ServeEnv } from "../../host/serve/context.ts";
import { type ArchiveKeeping, LiveLink } from "../../host/serve/live-link.ts";
import { openServer, type Serving } from "../../host/serve/server.ts";
import { IDLE } from "../stories/idle-status.ts";
import { linked, logOf, STORE_ID } from "../stories/link-rig.ts";
import { SENSED } from "../stories/shown-rig.ts";
import { rigFile } from "../stories/world.ts";
import { until } from "./live.ts";

const TICK_MS = 100;
export const ACCEPTED: Decision = { accepted: true, reasons: [] };

export class SocketController {
	readonly socket = join(mkdtempSync(join(tmpdir(), "lees-serve-")), "link");
	readonly asked: Command[] = [];
	/** Codes as its terminal has shown them. */
	readonly codes: string[] = [];
	status: Status = { ...IDLE, durableSeq: 0 };
	sensed: Senses["sensed"] = SENSED;
	rigYaml = readFileSync(rigFile, "utf8");
	boot = 1;
	storeId = STORE_ID;
	/** What becomes of a command; null: it is never answered. */
	decide: (command: Command) => Decision | null = () => ACCEPTED;
	/** Added to the time by which it shows codes, ms. */
	laterMs = 0;
	private readonly records: LogRecord[] = [];
	private listener: Server | null = null;
	private readonly sockets = new Set<Socket>();
	private timer: NodeJS.Timeout | undefined;
	private work: { durableSeq: number; records: ReturnType<typeof logOf> } | null = null;
	private readonly bornMs = performance.now();

	/** Time since its boot, ms. */
	get monoMs(): number {
		return Math.round(performance.now() - this.bornMs);
	}

	async start(): Promise<void> {
		const draw = () => String(this.codes.length).padStart(6, "0");
		const show = (code: string) => void this.codes.push(code);
		const clock = () => performance.now() + this.laterMs;
		const { server, work, records } = linked(logOf(this.records.map(textOf)), new Map(), {
			storeId: this.storeId,
			boot: this.boot,
			rig: "Teal Willow",
			rigText: new RigText(this.rigYaml),
			pairing: new Pairing({ draw, show, clock }),
			status: () => {
				return { ...this.status, monoMs: this.monoMs, durableSeq: this.records.length };
			},
			senses: () => ({
				monoMs: this.monoMs,
				commissioned: false,
				sensed: this.sensed,
				blocked: [],
			}),
			submit: (command) => {
				this.asked.push(command);
				const decision = this.decide(command);
				return decision === null ? new Promise(() => {}) : Promise.resolve(decision);
			},
		});
		this.work = Object.assign(work, { records });
		this.listener = await listenLocally(this.socket);
		this.listener.on("connection", (socket) => {
			this.sockets.add(socket);
			socket.once("close", () => this.sockets.delete(socket));
		});
		serveClients(this.listener, server);
		this.timer = setInterval(() => server.everyTick(), TICK_MS);
	}

	/** Its process ends; the socket goes with it. */
	async die(): Promise<void> {
		clearInterval(this.timer);
		const { listener } = this;
		this.listener = null;
		for (const socket of this.sockets) socket.destroy();
		if (listener !== null) await new Promise<void>((resolve) => listener.close(() => resolve()));
	}

	/** It goes on and answers nothing: a process that hangs. */
	hang(): void {
		clearInterval(this.timer);
	}

	/** Writes a record that is durable at once. */
	log(body: Record<string, unknown> & { kind: LogRecord["kind"] }, monoMs = this.monoMs): void {
		const seq = this.records.length + 1;
		this.records.push({ seq, boot: this.boot, monoMs, ...body } as LogRecord);
		const { work } = this;
		if (work === null) return;
		const last = logOf(this.records.map(textOf)).at(-1);
		if (last !== undefined) work.records.push(last);
		work.durableSeq = this.records.length;
	}
}

/** Pages as small as pages get, invented. */
function webFolder(): string {
	const folder = mkdtempSync(join(tmpdir(), "lees-web-"));
	mkdirSync(join(folder, "assets"));
	writeFileSync(join(folder, "live.html"), "<!doctype html><title>live</title>");
	writeFileSync(join(folder, "bench.html"), "<!doctype html><title>bench</title>");
	writeFileSync(
		join(folder, "assets/live-AbC123.js"),
		`export const it = "${"it ".repeat(99)}";\n`,
	);
	writeFileSync(join(folder, "assets/notes.txt"), "nothing that a page asks for");
	return folder;
}

export interface ServedParts {
	readonly names?: readonly string[];
	readonly extra?: (app: Hono<ServeEnv>) => void;
	readonly archive?: ArchiveKeeping;
	/** Without it the server has no controller to look at. */
	readonly port?: string;
	/** In place of ten seconds for a head and thirty for a request. */
	readonly times?: { readonly headersTimeout?: number; readonly requestTimeout?: number };
}

/** The server, its codes and complaints, and its time. */
export class Served {
	readonly serving: Serving;
	readonly link: LiveLink | null;
	readonly told: string[];
	readonly codes: string[];
	/** Added to the time that sessions and limits go by, ms. */
	later: { ms: number };
	private readonly ending: AbortController;
	private readonly running: Promise<void>;

	private constructor(
		own: Pick<Served, "serving" | "link" | "told" | "codes" | "later">,
		more: {
			ending: AbortController;
			running: Promise<void>;
		},
	) {
		this.serving = own.serving;
		this.link = own.link;
		this.told = own.told;
		this.codes = own.codes;
		this.later = own.later;
		this.ending = more.ending;
		this.running = more.running;
	}

	static async open({
		port,
		archive,
		names = [],
		extra = () => {},
		times = {},
	}: ServedParts): Promise<Served> {
		const ending = new AbortController();
		const told: string[] = [];
		const codes: string[] = [];
		const later = { ms: 0 };
		const tell = (line: string) => void told.push(line);
		const { signal } = ending;
		const link =
			port === undefined
				? null
				: new LiveLink({ port, signal, tell, ...(archive !== undefined && { archive }) });
		const serving = await openServer({
			listen: { host: "127.0.0.1", port: 0 },
			names,
			link,
			webFolder: webFolder(),
			extra,
			showCode: (code) => void codes.push(code),
			tell,
			times,
			clock: () => performance.now() + later.ms,
		});
		const running = link?.run() ?? Promise.resolve();
		return new Served({ serving, link, told, codes, later }, { ending, running });
	}

	get origin(): string {
		return `http://127.0.0.1:${this.serving.port}`;
	}

	/** Until it has heard of the controller. */
	async isUp(seconds = 10): Promise<void> {
		await until(() => this.link?.isUp === true && this.link.rig !== null, seconds);
	}

	async close(): Promise<void> {
		this.ending.abort();
		await this.running;
		await this.serving.close();
	}
}
