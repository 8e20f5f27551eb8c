// What pages may ask the controller to do. A stop needs nothing and waits for nothing; all else
// needs a session, and an order that nobody attends a look at the coverage. Nothing is ordered of
// the server's own accord, and nothing is sent twice: whether it is taken the controller decides.

import { randomUUID } from "node:crypto";
import { Hono } from "hono";
import * as z from "zod";
import { InputError } from "../../firmware/config/input-error.ts";
import { type Work, workSchema } from "../../firmware/cycle/order-schemas.ts";
import { planSchema } from "../../firmware/cycle/plan-schema.ts";
import type { Decision } from "../../firmware/link/protocol.ts";
import { NoAnswer } from "../link/client.ts";
import { demandSession, Refusal, readBody, type ServeEnv } from "./context.ts";
import { LinkAway, LinkBusy, type LiveLink } from "./live-link.ts";

const id = z.string().min(1).max(64);
const isCoverageSeen = z.boolean().default(false);
const orderSchema = z.strictObject({ id, work: workSchema, isCoverageSeen });
const planOrderSchema = z.strictObject({ id, plan: planSchema, isCoverageSeen });
const idSchema = z.strictObject({ id });

const AT_THE_RIG = "The stop button is at the rig.";

/** @param link null where there is no controller */
export function deedRoutes(link: LiveLink | null): Hono<ServeEnv> {
	const app = new Hono<ServeEnv>();
	app.post("/api/stop", async (c) => {
		const decision = await link?.stop(idIn(await c.req.text()));
		if (decision) return c.json(decision);
		const why = link === null ? "There is no controller here." : "The controller does not answer.";
		const what = `${why} ${AT_THE_RIG}`;
		return c.json({ error: { what, found: link?.why ?? "no port", allowed: "a controller" } }, 504);
	});
	app.post("/api/order", async (c) => {
		demandSession(c, "order");
		const order = await readBody(c, orderSchema);
		refuseUnseen(order.work, order.isCoverageSeen);
		return c.json(await handOn(link, (to) => askWork(to, order.id, order.work)));
	});
	app.post("/api/plan", async (c) => {
		demandSession(c, "order");
		const { id, plan, isCoverageSeen } = await readBody(c, planOrderSchema);
		refuseUnseen(plan.work, isCoverageSeen);
		return c.json(await handOn(link, (to) => to.call("plan", { id, plan })));
	});
	app.post("/api/acknowledge", async (c) => {
		demandSession(c, "order");
		const params = await readBody(c, idSchema);
		return c.json(await handOn(link, (to) => to.call("acknowledge", params)));
	});
	return app;
}

/** A stop is not refused for its form: one without a good id gets one. */
function idIn(text: string): string {
	return statedId(text) ?? randomUUID();
}

function statedId(text: string): string | null {
	try {
		return idSchema.safeParse(JSON.parse(text)).data?.id ?? null;
	} catch {
		return null;
	}
}

function askWork(link: LiveLink, id: string, work: Work): Promise<Decision> {
	if ("polish" in work) return link.call("polish", { id, polish: work.polish });
	if ("transfer" in work) return link.call("transfer", { id, transfer: work.transfer });
	return link.call("sweep", { id, sweep: work.sweep });
}

function refuseUnseen(work: Work, isSeen: boolean): void {
	const own = "polish" in work ? work.polish : "transfer" in work ? work.transfer : work.sweep;
	if (own.attended || isSeen) return;
	const what = "nobody attends this order, and the coverage was not looked at";
	throw new Refusal(409, { what, allowed: "isCoverageSeen after the caution was shown" });
}

/**
 * Asks the controller, and says plainly what is known when it does not answer.
 * @throws Refusal
 */
export async function handOn<T>(
	link: LiveLink | null,
	ask: (link: LiveLink) => Promise<T>,
): Promise<T> {
	if (link === null) throw new Refusal(504, { what: "Not sent: there is no controller here." });
	try {
		return await ask(link);
	} catch (error) {
		if (error instanceof LinkAway) {
			const what = "Not sent: the controller does not answer.";
			throw new Refusal(504, { what, found: error.message }, { isMaybeTaken: false });
		}
		if (error instanceof LinkBusy) throw new Refusal(503, { what: `Not sent: ${error.message}.` });
		if (error instanceof NoAnswer) {
			const what = `No answer came: it may have been taken. Look at the state. ${AT_THE_RIG}`;
			const allowed = "the same id again: it is not done twice";
			throw new Refusal(504, { what, allowed }, { isMaybeTaken: true });
		}
		if (error instanceof InputError) throw new Refusal(502, { what: error.message });
		throw error;
	}
}
