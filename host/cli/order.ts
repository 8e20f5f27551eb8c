// `lees order` and `lees clock`: what a person asks of the controller over the link. Says whether
// it was taken, and why not; exit 1 when it was not.

import { randomUUID } from "node:crypto";
import type { z } from "zod";
import { InputError } from "../../firmware/config/input-error.ts";
import { allowedAt, show } from "../../firmware/config/schema-words.ts";
import { polishSchema, sweepSchema, transferSchema } from "../../firmware/cycle/order-schemas.ts";
import { planSchema } from "../../firmware/cycle/plan-schema.ts";
import type { Decision } from "../../firmware/link/protocol.ts";
import { LinkClient, NoAnswer } from "../link/client.ts";
import { EXIT } from "./exit.ts";

/** When an order is to begin by itself, and what it waits for then. */
export interface PlanOptions {
	readonly at?: string;
	readonly windowHours?: number;
	readonly onCharge?: boolean;
	readonly batteryVoltsMin?: number;
}

/** The id of a command that may have been taken already: the same one is never done twice. */
export interface RepeatOptions {
	readonly id?: string;
}

type Options = Readonly<Record<string, unknown>> & PlanOptions & RepeatOptions;

export type WorkName = "polish" | "transfer" | "sweep";
type Ask = (client: LinkClient, id: string) => Promise<Decision>;

/** Now, or with `at` as a plan. @param options as commander gives them: work and plan together */
export async function orderWork(port: string, name: WorkName, options: Options): Promise<number> {
	const { at, windowHours, onCharge, batteryVoltsMin, id, ...own } = options;
	const repeat = given({ id });
	const planned = { windowHours, onCharge, batteryVoltsMin };
	const ask = asking(name, own);
	if (at !== undefined) {
		const plan = check(name, planSchema, { at, ...given(planned), work: { [name]: own } });
		const askPlan: Ask = (client, key) => client.call("plan", { id: key, plan });
		return give(port, `plan of ${name}`, askPlan, { ...repeat, showId: true });
	}
	const [extra] = Object.keys(given(planned));
	if (extra !== undefined) throw wrong(name, extra, planned, "only together with --at");
	return give(port, name, ask, repeat);
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
	throw wrong(name, String(issue?.path.at(-1) ?? ""), options, issue ? allowedAt(issue) : "");
}

/** @param key an option as commander gives it; empty where it is about all of them */
function wrong(name: WorkName, key: string, options: object, allowed: string): InputError {
	const found = show(key === "" ? options : Reflect.get(options, key));
	const option = key.replaceAll(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
	const named = key === "" ? {} : { key: `--${option}` };
	return new InputError([{ file: `lees order ${name}`, ...named, found, allowed }]);
}

/** Without what was not said. */
function given(options: object): object {
	return Object.fromEntries(Object.entries(options).filter(([, value]) => value !== undefined));
}

export function cancelPlan(port: string, planId: string, repeat: RepeatOptions): Promise<number> {
	const ask: Ask = (client, id) => client.call("cancel-plan", { id, planId });
	return give(port, "cancelling", ask, repeat);
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

export function orderStop(port: string, repeat: RepeatOptions): Promise<number> {
	return give(port, "stop", (client, id) => client.call("stop", { id }), repeat);
}

export function orderAcknowledge(port: string, repeat: RepeatOptions): Promise<number> {
	return give(port, "acknowledge", (client, id) => client.call("acknowledge", { id }), repeat);
}

/** Reasons of the controller that say nothing of what to do. */
const hints: ReadonlyArray<readonly [reason: string, hint: (port: string) => string]> = [
	[
		"the controller is commissioning",
		(port) =>
			"A step of commissioning is under way. It ends when it is done, with q where it is led,\n" +
			`or with: lees order stop ${port}`,
	],
	["the rig is not commissioned", (port) => `What is due, and why: lees commission ${port} --list`],
];

interface Giving extends RepeatOptions {
	/** Whether the id is wanted later. */
	readonly showId?: boolean;
}

async function give(port: string, what: string, ask: Ask, giving: Giving = {}): Promise<number> {
	const client = await LinkClient.open(port);
	const { id = randomUUID(), showId = false } = giving;
	try {
		const { accepted, reasons } = await ask(client, id);
		const words = accepted ? "accepted" : `refused: ${reasons.join("; ")}`;
		process.stdout.write(`${what} ${words}${accepted && showId ? `; its id is ${id}` : ""}\n`);
		for (const [reason, hint] of hints) {
			if (reasons.includes(reason)) process.stdout.write(`${hint(port)}\n`);
		}
		return accepted ? EXIT.good : EXIT.doesNotHold;
	} catch (error) {
		// It may have been taken: only the same id asks about the same command.
		if (error instanceof NoAnswer && what !== "clock") {
			const first = what === "stop" ? "Press the stop button at the rig, or ask" : "Ask";
			const again = `${first} again with --id ${id}: it will not be done twice.`;
			process.stderr.write(`No answer to this ${what}. ${again}\n`);
		}
		throw error;
	} finally {
		await client.close();
	}
}
