// Pairing a page: a code is shown, typed in, and opens a session. The session's name goes to the
// page in a cookie that no script can read and no other site's page makes the browser send.

import { Hono } from "hono";
import * as z from "zod";
import { readBody, type ServeEnv } from "./context.ts";
import { handOn } from "./deeds.ts";
import type { LiveLink } from "./live-link.ts";
import type { PairingDesk } from "./pairing-desk.ts";
import { cookieFor, cookieGone, type Sessions } from "./sessions.ts";

const nothing = z.strictObject({});
const codeSchema = z.strictObject({ code: z.string().regex(/^\d{6}$/, "six digits") });

export interface PairParts {
	readonly link: LiveLink | null;
	readonly desk: PairingDesk;
	readonly sessions: Sessions;
	readonly cookie: string;
}

export function pairRoutes({ link, desk, sessions, cookie }: PairParts): Hono<ServeEnv> {
	const app = new Hono<ServeEnv>();
	app.post("/api/pair/show", async (c) => {
		await readBody(c, nothing);
		return c.json(await askDesk(link, () => desk.show()));
	});
	app.post("/api/pair", async (c) => {
		const { code } = await readBody(c, codeSchema);
		const checked = await askDesk(link, () => desk.check(code));
		switch (checked.outcome) {
			case "locked": {
				const { waitSeconds } = checked;
				c.header("retry-after", String(waitSeconds));
				const what = "too many codes were tried: nobody can pair for a while";
				const error = { what, allowed: `another try in ${waitSeconds} s` };
				return c.json({ error, triesLeft: 0, waitSeconds }, 429);
			}
			case "wrong": {
				const { triesLeft } = checked;
				const allowed = triesLeft === 0 ? "a new code" : `${triesLeft} more`;
				return c.json({ error: { what: "this is not the code", allowed }, triesLeft }, 403);
			}
			case "right": {
				// The one before is over: what a page brought along never grows into more.
				sessions.end(c.get("token"));
				const token = sessions.begin(checked.may, checked.storeId);
				c.header("set-cookie", cookieFor(cookie, token));
				return c.json({});
			}
		}
	});
	app.post("/api/unpair", async (c) => {
		await readBody(c, nothing);
		sessions.end(c.get("token"));
		c.header("set-cookie", cookieGone(cookie));
		return c.json({});
	});
	return app;
}

/** Without a link the desk asks nobody. */
function askDesk<T>(link: LiveLink | null, ask: () => Promise<T>): Promise<T> {
	return link === null ? ask() : handOn(link, ask);
}
