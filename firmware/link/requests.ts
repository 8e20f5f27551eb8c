// From a payload to a request, or to the error that answers it. Imports the protocol alone. A
// payload is no longer than a frame, which bounds what JSON can be made of it.

import {
	type LinkRequest,
	type LinkResponse,
	RPC_ERROR,
	requestSchema,
	results,
} from "./protocol.ts";

/** Answered to the client with this code. */
export class RpcFailure extends Error {
	readonly code: number;

	constructor(code: number, message: string) {
		super(message);
		this.code = code;
	}
}

type Failure = Extract<LinkResponse, { error: unknown }>;

export function readRequest(payload: Buffer): LinkRequest | Failure {
	let raw: unknown;
	try {
		raw = JSON.parse(payload.toString("utf8"));
	} catch {
		return failure(null, RPC_ERROR.parse, "not JSON");
	}
	const parsed = requestSchema.safeParse(raw);
	if (parsed.success) return parsed.data;
	return refusal(raw, (parsed.error.issues[0]?.message ?? "not a request").slice(0, 200));
}

export function failure(id: number | null, code: number, message: string): Failure {
	return { jsonrpc: "2.0", id, error: { code, message } };
}

function refusal(raw: unknown, why: string): Failure {
	const field = (name: string): unknown =>
		typeof raw === "object" && raw !== null ? Reflect.get(raw, name) : undefined;
	const id = field("id");
	const known = Object.keys(results).includes(String(field("method")));
	const code = known ? RPC_ERROR.invalidParams : RPC_ERROR.methodNotFound;
	const number = typeof id === "number" && Number.isInteger(id) ? id : null;
	return failure(number, number === null ? RPC_ERROR.invalidRequest : code, why);
}
