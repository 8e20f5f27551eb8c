// `lees order` and `lees clock`: what a person asks of the controller over the link. Says whether
// it was taken, and why not; exit 1 when it was not.

import { randomUUID } from "node:crypto";
import type { z } from "zod";
import { InputError } from "../../firmware/config/input-error.ts";
import { polishSchema, sweepSchema, transferSchema } from "../../firmware/cycle/order-schemas.ts";
import { planSchema } from "../../firmware/cycle/plan-schema.ts";
import type { Decision } from "../../firmware/link/protocol.ts";
import { LinkClient } from "../link/client.ts";
import { EXIT } from "./exit.ts";

/** When an order is to begin by itself, and what it waits for then. */
export interface PlanOptions {
	readonly at?: string;
	readonly windowHours?: number;
	readonly onCharge?: boolean;
	readonly batteryVoltsMin?: number;
}

type Options = Readonly<Record<string, unknown>> & PlanOptions;

export type WorkName = "polish" | "transfer" | "sweep";
type Ask = (client: LinkClient, id: string) => Promise<Decision>;

/** Now, or with `at` as a plan. @param options as commander gives them: work and plan together */
export async function orderWork(port: string, name: WorkName, options: Options): Promise<number> {
	const { at, windowHours, onCharge, batteryVoltsMin, ...own } = options;
	const planned = { windowHours, onCharge, batteryVoltsMin };
	const ask = asking(name, own);
	if (at !== undefined) {
		const plan = check(name, planSchema, { at, ...given(planned), work: { [name]: own } });
		return give(port, `plan of ${name}`, (client, id) => client.call("plan", { id, plan }), true);
	}
	const [extra] = Object.keys(given(planned));
	if (extra !== undefined) throw wrong(name, extra, planned, "only together with --at");
	return give(port, name, ask);
}

/** The call that asks for this work, its options checked before any port is opened. */
function asking(name: WorkName, own: object): Ask {
	switch (name) {
		case "polish": {
			const polish = check(name, polishSchema, own);
			return (client, id) => client.call(name, { id, polish });
		}
		case "transfer": {
			const transfer = check(name, transferSchema, own);
			return (client, id) => client.call(name, { id, transfer });
		}
		case "sweep": {
			const sweep = check(name, sweepSchema, own);
			return (client, id) => client.call(name, { id, sweep });
		}
	}
}

/** @throws InputError naming the option, what was found and what is allowed */
function check<S extends z.ZodType>(name: WorkName, schema: S, options: object): z.infer<S> {
	const checked = schema.safeParse(options);
	if (checked.success) return checked.data;
	const [issue] = checked.error.issues;
	throw wrong(name, issue?.path.map(String).join(".") ?? "", options, issue?.message ?? "");
}

function wrong(name: WorkName, key: string, options: object, allowed: string): InputError {
	const found = JSON.stringify(options);
	return new InputError([{ file: `lees order ${name}`, key, found, allowed }]);
}

/** Without what was not said. */
function given(options: object): object {
	return Object.fromEntries(Object.entries(options).filter(([, value]) => value !== undefined));
}

export function cancelPlan(port: string, planId: string): Promise<number> {
	return give(port, "cancelling", (client, id) => client.call("cancel-plan", { id, planId }));
}

/** Tells the controller this computer's local time. */
export function setClock(port: string, uncertaintySeconds: number): Promise<number> {
	return give(port, "clock", (client, id) => {
		const now = new Date();
		const offsetMinutes = -now.getTimezoneOffset();
		const uncertaintyMs = Math.round(uncertaintySeconds * 1000);
		const clock = { utcMs: now.getTime(), offsetMinutes, uncertaintyMs };
		return client.call("clock.set", { id, clock });
	});
}

export function orderStop(port: string): Promise<number> {
	return give(port, "stop", (client, id) => client.call("stop", { id }));
}

export function orderAcknowledge(port: string): Promise<number> {
	return give(port, "acknowledge", (client, id) => client.call("acknowledge", { id }));
}

/** @param showId whether the id is wanted later */
async function give(port: string, what: string, ask: Ask, showId = false): Promise<number> {
	const client = await LinkClient.open(port);
	try {
		const id = randomUUID();
		const { accepted, reasons } = await ask(client, id);
		const words = accepted ? "accepted" : `refused: ${reasons.join("; ")}`;
		process.stdout.write(`${what} ${words}${accepted && showId ? `; its id is ${id}` : ""}\n`);
		return accepted ? EXIT.good : EXIT.doesNotHold;
	} finally {
		await client.close();
	}
}
