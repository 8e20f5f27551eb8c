// Asks the controller how commissioning stands and hands on what the guide sends. A look changes
// nothing and is asked again; a command has an id of its own. Imports the link's client.

import { randomUUID } from "node:crypto";
import type { ProofList } from "../../../firmware/commission/schemas.ts";
import { polishSchema } from "../../../firmware/cycle/order-schemas.ts";
import type { Decision } from "../../../firmware/link/protocol.ts";
import type { LinkClient } from "../../link/client.ts";
import type { Look, Send } from "./guide-state.ts";
import { ORDER_ID } from "./guide-turns.ts";

/** Every step of the rig, part by part. */
export async function readSteps(client: LinkClient): Promise<ProofList["rows"]> {
	const rows: ProofList["rows"] = [];
	for (;;) {
		const part = await client.call("proof.list", { from: rows.length });
		rows.push(...part.rows);
		if (part.rows.length === 0 || rows.length >= part.total) return rows;
	}
}

/** @throws NoAnswer when the line is lost on the way */
export async function lookAt(
	client: LinkClient,
	wants: { readonly rows: boolean; readonly fills: boolean },
): Promise<Look> {
	// The step's end first: what is told of the rest is never older than it.
	const now = await client.call("proof.now", {});
	const status = await client.call("status", {});
	const rows = wants.rows ? await readSteps(client) : null;
	const fills = wants.fills ? await client.call("fill.list", {}) : null;
	const isTripped = status.state === "tripped";
	const blocked = isTripped ? (await client.call("senses", {})).blocked : [];
	return { now, status, rows, fills, blocked };
}

/** Of a command, once for ever. */
export const newId = (): string => randomUUID();

export function give(client: LinkClient, send: Send): Promise<Decision> {
	const id = newId();
	switch (send.type) {
		case "begin":
			return client.call("proof.begin", { id, step: send.step, by: send.by });
		case "answer":
			return client.call("proof.answer", { id, values: { ...send.values } });
		case "end":
			return client.call("proof.end", { id });
		case "stop":
			return client.call("stop", { id });
		case "strike":
			return client.call("fill.strike", { id, fillSeq: send.fillSeq, why: send.why });
		case "order": {
			const { tank, litres } = send;
			const polish = polishSchema.parse({ tank, litres, attended: true });
			return client.call("polish", { id: `${ORDER_ID}${id}`, polish });
		}
	}
}

/** This computer's local time. @returns what was told, or why it was refused */
export async function tellClock(client: LinkClient): Promise<{ at: Date; decision: Decision }> {
	const at = new Date();
	const clock = {
		utcMs: at.getTime(),
		offsetMinutes: -at.getTimezoneOffset(),
		uncertaintyMs: CLOCK_UNCERTAINTY_MS,
	};
	return { at, decision: await client.call("clock.set", { id: newId(), clock }) };
}

/** What `lees clock` takes when nothing else is said. */
const CLOCK_UNCERTAINTY_MS = 2_000;
