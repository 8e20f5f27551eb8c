// The thread that answers what pages ask of the archive: notes, photos, the season and its report.
// It works beside the server, since SQLite and a PDF hold up whoever waits for them. Started with
// the archive's file; answers each question by one message.

import { parentPort, workerData } from "node:worker_threads";
import { Hono } from "hono";
import type { Session } from "../web/scene.ts";
import type { Asked, ThreadAnswer } from "./archive-desk.ts";
import { notesRoutes } from "./notes-routes.ts";
import { seasonRoutes } from "./season-routes.ts";

interface ThreadEnv {
	Bindings: { session: Session };
	Variables: { session: Session };
}

const { file } = workerData as { file: string };
const app = new Hono<ThreadEnv>();
app.onError((error) => {
	throw error;
});
app.use(async (c, next) => {
	c.set("session", c.env.session);
	await next();
});
app.route("/", notesRoutes(file));
app.route("/", seasonRoutes(file));

parentPort?.on("message", (asked: Asked) => {
	void answer(asked).then((found) => {
		parentPort?.postMessage(found, "body" in found ? [found.body.buffer] : []);
	});
});

async function answer({ url, body, session }: Asked): Promise<ThreadAnswer> {
	try {
		const init = body === null ? {} : { method: "POST", body };
		const response = await app.fetch(new Request(url, init), { session });
		const { status, headers } = response;
		const bytes = new Uint8Array(await response.arrayBuffer());
		return { status, headers: Object.fromEntries(headers), body: bytes };
	} catch (error) {
		return { fault: error instanceof Error ? (error.stack ?? error.message) : String(error) };
	}
}
