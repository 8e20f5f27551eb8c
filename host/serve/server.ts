// The HTTP server of the pages: routes behind guards, a feed, and limits on what a connection may
// take. It holds no authority of its own: it hands on what a paired page asks, and what it shows it
// has from the link. Other routes are mounted behind the same guards.

import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { getRequestListener } from "@hono/node-server";
import { RESPONSE_ALREADY_SENT } from "@hono/node-server/utils/response";
import { Hono } from "hono";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { Assets } from "./assets.ts";
import { answerRefusal, Refusal, type ServeEnv } from "./context.ts";
import { deedRoutes } from "./deeds.ts";
import { Feed } from "./feed.ts";
import { guard, HEADERS, limitBodies } from "./guards.ts";
import { HostNames } from "./host-names.ts";
import type { LiveLink } from "./live-link.ts";
import { pairRoutes } from "./pair-routes.ts";
import { PairingDesk } from "./pairing-desk.ts";
import { SceneText } from "./scene-text.ts";
import { cookieName, cookieOf, Sessions } from "./sessions.ts";

export interface ServerParts {
	readonly listen: { readonly host: string; readonly port: number };
	/** More names by which it may be addressed. */
	readonly names: readonly string[];
	/** Null: bench and archive alone. */
	readonly link: LiveLink | null;
	/** The built pages. */
	readonly webFolder: string;
	/** Routes of others, behind the same guards. */
	readonly extra: readonly Hono<ServeEnv>[];
	/** Where a code is put that no controller shows. */
	readonly showCode: (code: string) => void;
	/** A fault of ours, for who looks after this computer. */
	readonly tell: (line: string) => void;
	/** Monotonic milliseconds. */
	readonly clock?: () => number;
}

export interface Serving {
	readonly host: string;
	readonly port: number;
	close(): Promise<void>;
}

/** Connections at a time, and how long one may take for its request and between two, ms. */
const CONNECTIONS_MAX = 128;
const TIMES = {
	headersTimeout: 10_000,
	requestTimeout: 30_000,
	keepAliveTimeout: 5_000,
	connectionsCheckingInterval: 1_000,
};
const HEADER_BYTES_MAX = 8_192;
const CLOSE_MS = 500;

/** @throws InputError when it cannot listen there, or there are no pages */
export async function openServer(parts: ServerParts): Promise<Serving> {
	const assets = new Assets(parts.webFolder);
	const server = createServer({ ...TIMES, maxHeaderSize: HEADER_BYTES_MAX });
	server.maxConnections = CONNECTIONS_MAX;
	const { address: host, port } = await listen(server, parts.listen);
	const { link, clock = () => performance.now() } = parts;
	const sessions = new Sessions(clock);
	const cookie = cookieName(port);
	const scene = new SceneText(link);
	const feed = new Feed({
		scene: () => scene.shared,
		series: () => link?.series ?? NO_SERIES,
		sessionOf: (token) => sessions.look(token, link?.storeId ?? null),
	});
	if (link !== null) {
		link.onChange = () => feed.changed();
		link.onSenses = () => {
			const { latest } = link.series;
			if (latest !== null) feed.point(latest);
		};
	}

	const app = new Hono<ServeEnv>();
	app.onError((error, c) => {
		if (error instanceof Refusal) {
			// What is left of a body that is too long is not waited for.
			if (error.status === 413) c.header("connection", "close");
			return answerRefusal(c, error);
		}
		parts.tell(`${c.req.method} ${c.req.path}: ${error.stack ?? messageOf(error)}`);
		return c.json({ error: { what: "a fault of this server; its terminal tells more" } }, 500);
	});
	app.notFound((c) => c.json({ error: { what: "there is nothing here" } }, 404));
	app.use(guard(new HostNames([parts.listen.host, ...parts.names])));
	app.use(async (c, next) => {
		const token = cookieOf(c.req.header("cookie"), cookie);
		const storeId = link?.storeId ?? null;
		const isUse = c.req.method === "POST";
		c.set("token", token);
		c.set("session", isUse ? sessions.use(token, storeId) : sessions.look(token, storeId));
		await next();
	});
	app.use(limitBodies);
	app.get("/api/feed", (c) => {
		const { incoming, outgoing } = c.env;
		const headers = { ...HEADERS, "cache-control": "no-store" };
		const address = incoming.socket.remoteAddress ?? "";
		const isOpen = c.req.method === "GET" && feed.open(outgoing, address, c.get("token"), headers);
		if (isOpen) return RESPONSE_ALREADY_SENT;
		c.header("retry-after", "10");
		return c.json({ error: { what: "too many pages look at the same time" } }, 503);
	});
	const desk = new PairingDesk({ link, showHere: parts.showCode, clock });
	app.route("/", deedRoutes(link));
	app.route("/", pairRoutes({ link, desk, sessions, cookie }));
	for (const routes of parts.extra) app.route("/", routes);
	app.get("*", (c) => {
		// Without a controller the live page has nothing to show.
		if (link === null && c.req.path === "/") return c.redirect("/bench");
		return assets.answer(c, c.req.path) ?? c.notFound();
	});

	server.on("request", getRequestListener(app.fetch));
	return { host, port, close: () => close(server, feed) };
}

const NO_SERIES = { version: 0, now: { recent: [], run: [] } };

async function listen(server: Server, { host, port }: ServerParts["listen"]): Promise<AddressInfo> {
	await new Promise<void>((good, bad) => {
		server.once("error", (error) => bad(refusal(`${host}:${port}`, error)));
		server.listen({ host, port }, good);
	});
	const address = server.address();
	if (address === null || typeof address === "string") throw new Error("no address to listen at");
	return address;
}

function refusal(file: string, error: NodeJS.ErrnoException): InputError {
	const words: Readonly<Record<string, string>> = {
		EADDRINUSE: "a port that another program has",
		EADDRNOTAVAIL: "an address that this computer does not have",
		EACCES: "a port that this user may not open",
		ENOTFOUND: "a name that leads nowhere",
		EAI_AGAIN: "a name that leads nowhere",
	};
	const found = words[error.code ?? ""] ?? error.message;
	return new InputError([{ file, found, allowed: "--listen HOST:PORT, one that is free here" }]);
}

/** Answers under way may end; whoever only looks is let go. */
async function close(server: Server, feed: Feed): Promise<void> {
	feed.close();
	const closed = new Promise<void>((resolve) => server.close(() => resolve()));
	server.closeIdleConnections();
	const timer = setTimeout(() => server.closeAllConnections(), CLOSE_MS);
	await closed;
	clearTimeout(timer);
}
