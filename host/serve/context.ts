// What every route of the server finds: Node's own request and response, and the session that the
// request came with. What is wrong with a request is thrown as data and leaves in one shape from
// every route.

import type { HttpBindings } from "@hono/node-server";
import type { Context } from "hono";
import type { ContentfulStatusCode } from "hono/utils/http-status";
import type { z } from "zod";
import { allowedAt, show } from "../../firmware/config/schema-words.ts";
import type { Session } from "../web/scene.ts";
import type { Level } from "./sessions.ts";

export interface ServeEnv {
	Bindings: HttpBindings;
	Variables: {
		/** What the page may do that sent this. */
		session: Session;
		/** Of its cookie. */
		token: string | null;
	};
}

export type ServeContext = Context<ServeEnv>;

/** What, and where it helps what was found and what is allowed. */
export interface Failure {
	readonly what: string;
	readonly found?: string;
	readonly allowed?: string;
}

/** Thrown by a route; the server makes its answer of it. */
export class Refusal extends Error {
	readonly status: ContentfulStatusCode;
	readonly failure: Failure;
	/** Beside the error in the answer. */
	readonly more: Readonly<Record<string, unknown>>;

	constructor(
		status: ContentfulStatusCode,
		failure: Failure,
		more: Readonly<Record<string, unknown>> = {},
	) {
		super(failure.what);
		this.status = status;
		this.failure = failure;
		this.more = more;
	}
}

export function answerRefusal(c: ServeContext, { status, failure, more }: Refusal): Response {
	return c.json({ error: failure, ...more }, status);
}

/** @throws Refusal where the page is not paired, or only to write notes */
export function demandSession(c: ServeContext, needed: Level): void {
	const { may } = c.get("session");
	if (may === "order" || may === needed) return;
	const isNone = may === "look";
	const what = isNone
		? "this page is not paired, or its session has ended"
		: "this session may write notes only: it was paired without the controller";
	throw new Refusal(isNone ? 401 : 403, { what, allowed: "pair with the code shown at the rig" });
}

/** @throws Refusal where the body is no JSON, or not of that shape */
export async function readBody<S extends z.ZodType>(c: ServeContext, schema: S) {
	const text = await c.req.text();
	let raw: unknown;
	try {
		raw = JSON.parse(text);
	} catch {
		throw new Refusal(400, { what: "the body is no JSON", found: show(text), allowed: "JSON" });
	}
	const checked = schema.safeParse(raw);
	if (checked.success) return checked.data;
	const [issue] = checked.error.issues;
	const key = issue?.path.join(".") ?? "";
	const found = show(valueAt(raw, issue?.path ?? []));
	const what = key === "" ? "the body is not as it should be" : `${key} is not as it should be`;
	throw new Refusal(400, { what, found, allowed: issue === undefined ? "" : allowedAt(issue) });
}

function valueAt(raw: unknown, path: readonly PropertyKey[]): unknown {
	let here = raw;
	for (const key of path) {
		if (typeof here !== "object" || here === null || !Object.hasOwn(here, key)) return undefined;
		here = Reflect.get(here, key);
	}
	return here;
}
