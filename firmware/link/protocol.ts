// The link's protocol: JSON-RPC 2.0 requests and results as zod schemas. Pure: the controller, the
// command line and a browser use the same. How bytes carry it is framing.ts's business.

import { z } from "zod";
import { polishSchema, sweepSchema, transferSchema } from "../cycle/order-schemas.ts";
import { planSchema } from "../cycle/plan-schema.ts";
import { clockSchema } from "../local-time.ts";

export const PROTOCOL_VERSION = 1;

const id = z.string().min(1).max(64);

/** What a client may ask for, by method. */
export const requestSchema = z.discriminatedUnion("method", [
	request("hello", z.strictObject({})),
	request("status", z.strictObject({})),
	request("polish", z.strictObject({ id, polish: polishSchema })),
	request("transfer", z.strictObject({ id, transfer: transferSchema })),
	request("sweep", z.strictObject({ id, sweep: sweepSchema })),
	request("plan", z.strictObject({ id, plan: planSchema })),
	request("cancel-plan", z.strictObject({ id, planId: id })),
	request("set-clock", z.strictObject({ id, clock: clockSchema })),
	request("stop", z.strictObject({ id })),
	request("acknowledge", z.strictObject({ id })),
	request("note-drained", z.strictObject({ id, waterMl: z.number().min(0).max(100_000) })),
	request("log.read", z.strictObject({ from: z.int().min(1) })),
	request("log.part", z.strictObject({ seq: z.int().min(1), offset: z.int().min(0) })),
]);

function request<M extends string, P extends z.ZodType>(method: M, params: P) {
	return z.strictObject({
		jsonrpc: z.literal("2.0"),
		id: z.int().min(0),
		method: z.literal(method),
		params,
	});
}

export type LinkRequest = z.infer<typeof requestSchema>;
export type Method = LinkRequest["method"];
export type Params<M extends Method> = Extract<LinkRequest, { method: M }>["params"];

const helloResult = z.strictObject({
	protocol: z.int(),
	storeId: z.string(),
	boot: z.int(),
	rig: z.string(),
	methods: z.array(z.string()),
});

const tally = z.strictObject({ motorMs: z.int(), pulses: z.int() });

const statusResult = z.strictObject({
	monoMs: z.int(),
	state: z.string(),
	trips: z.array(z.strictObject({ code: z.string(), cause: z.string() })),
	pumpDemanded: z.boolean(),
	/** An unattended plan is armed at the rig: for that tank, or for its first order's when null. */
	armed: z.nullable(z.strictObject({ tank: z.nullable(z.string()) })),
	/** What the order waits for, while it is held. */
	heldFor: z.array(z.string()),
	order: z.nullable(
		z.strictObject({
			id: z.string(),
			work: z.string(),
			tank: z.string(),
			toTank: z.nullable(z.string()),
			goalLitres: z.nullable(z.number()),
			goalHours: z.nullable(z.number()),
			goalShare: z.nullable(z.number()),
		}),
	),
	/** Local time as 2026-11-29T10:00; null while it is unknown. */
	localTime: z.nullable(z.string()),
	/** Ids of the plans for once that wait for their time. */
	planned: z.array(z.string()),
	/** The plan that is due and does not begin, and the first reason. */
	waits: z.nullable(z.strictObject({ id: z.string(), why: z.string() })),
	run: tally,
	pulsesPerLitre: z.number(),
	durableSeq: z.int(),
	logFailed: z.boolean(),
	/** Latest tick against its deadline over the boot, ms. */
	tickLateMsMax: z.number(),
	ticks: z.int(),
});

/** Accepted and written down, or refused with the reasons. */
const decisionResult = z.strictObject({
	accepted: z.boolean(),
	reasons: z.array(z.string()),
});

const logResult = z.strictObject({
	/** Each with its JSON as it was chained. */
	records: z.array(z.strictObject({ seq: z.int(), json: z.string(), chain: z.string() })),
	/** The next record, when it does not fit a frame: to be had by `log.part`. */
	large: z.nullable(z.int()),
	/** The last durable record there is. */
	durableSeq: z.int(),
});

const partResult = z.strictObject({
	base64: z.string(),
	/** Of the whole record's JSON. */
	bytes: z.int(),
	chain: z.string(),
});

export const results = {
	hello: helloResult,
	status: statusResult,
	polish: decisionResult,
	transfer: decisionResult,
	sweep: decisionResult,
	plan: decisionResult,
	"cancel-plan": decisionResult,
	"set-clock": decisionResult,
	stop: decisionResult,
	acknowledge: decisionResult,
	"note-drained": decisionResult,
	"log.read": logResult,
	"log.part": partResult,
} as const satisfies Record<Method, z.ZodType>;

export type Result<M extends Method> = z.infer<(typeof results)[M]>;
export type Status = Result<"status">;
export type Decision = Result<"polish">;

export const responseSchema = z.union([
	z.strictObject({ jsonrpc: z.literal("2.0"), id: z.int(), result: z.unknown() }),
	z.strictObject({
		jsonrpc: z.literal("2.0"),
		id: z.nullable(z.int()),
		error: z.strictObject({ code: z.int(), message: z.string() }),
	}),
]);

export type LinkResponse = z.infer<typeof responseSchema>;

/** JSON-RPC 2.0's own codes, section 5.1 of its specification. */
export const RPC_ERROR = {
	parse: -32700,
	invalidRequest: -32600,
	methodNotFound: -32601,
	invalidParams: -32602,
	internal: -32603,
	/** Ours, from the range left to servers: ask again later. */
	busy: -32000,
} as const;
