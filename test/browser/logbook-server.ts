// The built logbook page over the real routes of notes, on an archive of the test's own; pairing is
// the test's word. It can be away, and counts what was posted.

import { readFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import { extname, join } from "node:path";
import { getRequestListener } from "@hono/node-server";
import { Hono } from "hono";
import { type NotesEnv, notesRoutes } from "../../host/serve/notes-routes.ts";
import type { Session } from "../../host/web/scene.ts";
import { root } from "../stories/world.ts";

const BUILT = join(root, ".build/web");
const TYPES: Readonly<Record<string, string>> = {
	".html": "text/html; charset=utf-8",
	".js": "text/javascript",
	".css": "text/css",
	".svg": "image/svg+xml",
};
const POLICY = "default-src 'self'; img-src 'self' blob: data:; frame-ancestors 'none'";
export const CODE = "123456";

export class LogbookServer {
	/** What a page may do that asks; pairing lets it write notes. */
	may: Session["may"] = "look";
	/** Paths of what was posted, first to last. */
	readonly posted: string[] = [];
	/** Answers to posts are kept back, as on a line that loses them. */
	losesAnswers = false;
	private readonly app = new Hono<NotesEnv>();
	private server: Server | null = null;
	private port = 0;

	private constructor(archiveFile: string) {
		const { app } = this;
		app.use(async (c, next) => {
			c.header("content-security-policy", POLICY);
			c.set("session", { may: this.may, endsInMs: this.may === "look" ? null : 60_000 });
			if (c.req.method === "POST") this.posted.push(c.req.path);
			await next();
		});
		app.post("/api/pair/show", (c) => c.json({ isShown: true, waitSeconds: 0, at: "server" }));
		app.post("/api/pair", async (c) => {
			const { code } = await c.req.json();
			if (code !== CODE) return c.json({ triesLeft: 2 }, 403);
			this.may = "note";
			return c.json({});
		});
		app.route("/", notesRoutes(archiveFile));
		app.get("*", (c) => {
			const file = c.req.path === "/logbook" ? "logbook.html" : c.req.path.slice(1);
			const type = TYPES[extname(file)];
			if (type === undefined || file.includes("..")) return c.notFound();
			return c.body(readFileSync(join(BUILT, file)), 200, { "content-type": type });
		});
	}

	static async open(archiveFile: string): Promise<LogbookServer> {
		const server = new LogbookServer(archiveFile);
		await server.return();
		return server;
	}

	get address(): string {
		return `http://127.0.0.1:${this.port}/logbook`;
	}

	/** It is gone, its lines are cut. */
	async leave(): Promise<void> {
		const { server } = this;
		if (server === null) return;
		this.server = null;
		const gone = new Promise((resolve) => server.close(resolve));
		server.closeAllConnections();
		await gone;
	}

	/** At the same address. */
	async return(): Promise<void> {
		const answer = getRequestListener(this.app.fetch);
		const server = createServer((request, response) => {
			if (this.losesAnswers && request.method === "POST") {
				// It is done, and nobody hears of it.
				response.end = () => response.destroy();
			}
			void answer(request, response);
		});
		await new Promise<void>((resolve) => server.listen(this.port, "127.0.0.1", resolve));
		this.port = (server.address() as AddressInfo).port;
		this.server = server;
	}
}
