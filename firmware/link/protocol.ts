// The link's protocol: JSON-RPC 2.0 requests and results as zod schemas. Pure: the controller, the
// command line and a browser use the same. How bytes carry it is framing.ts's business.

import { z } from "zod";
import { polishSchema, sweepSchema, transferSchema } from "../cycle/order-schemas.ts";
import { planSchema } from "../cycle/plan-schema.ts";
import { clockSchema } from "../local-time.ts";

export const PROTOCOL_VERSION = 2;

export const TRANSFERS_MAX = 4;
/** Frames that a client may have asked for and not yet got, of one transfer. */
export const CREDIT_MAX = 64;

const id = z.string().min(1).max(64);
const seq = z.int().min(1);
const transfer = z.int().min(0).max(2_147_483_647).describe("chosen by the client");
const credit = z.int().min(1).max(CREDIT_MAX).describe("frames that may be sent");

/** What a client may ask for, by method. */
export const requestSchema = z.discriminatedUnion("method", [
	request("hello", z.strictObject({})),
	request("status", z.strictObject({})),
	request("polish", z.strictObject({ id, polish: polishSchema })),
	request("transfer", z.strictObject({ id, transfer: transferSchema })),
	request("sweep", z.strictObject({ id, sweep: sweepSchema })),
	request("plan", z.strictObject({ id, plan: planSchema })),
	request("cancel-plan", z.strictObject({ id, planId: id })),
	request("clock.set", z.strictObject({ id, clock: clockSchema })),
	request("stop", z.strictObject({ id })),
	request("acknowledge", z.strictObject({ id })),
	request("note-drained", z.strictObject({ id, waterMl: z.number().min(0).max(100_000) })),
	request(
		"log.read",
		z.strictObject({
			transfer,
			from: seq.describe("the first record wanted"),
			to: seq.optional().describe("the last one; left out: all there is"),
			frames: credit,
			follow: z.boolean().optional().describe("wait for new records instead of ending"),
		}),
	),
	request("log.more", z.strictObject({ transfer, frames: credit })),
	request("log.cancel", z.strictObject({ transfer })),
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
	limits: z.strictObject({
		/** Raw bytes of a JSON frame between its ENDs. */
		frameBytesMax: z.int(),
		/** Raw bytes of a log frame, its ENDs counted. */
		batchFrameBytesMax: z.int(),
		framesPerTick: z.int(),
		bytesPerTick: z.int(),
		queueBytesMax: z.int(),
		transfersMax: z.int(),
		creditMax: z.int(),
	}),
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

const readResult = z.strictObject({ durableSeq: z.int(), storeId: z.string() });

/** Where the transfer stands. */
const moreResult = z.strictObject({ nextSeq: z.int(), durableSeq: z.int() });

const cancelResult = z.strictObject({ wasOpen: z.boolean() });

export const results = {
	hello: helloResult,
	status: statusResult,
	polish: decisionResult,
	transfer: decisionResult,
	sweep: decisionResult,
	plan: decisionResult,
	"cancel-plan": decisionResult,
	"clock.set": decisionResult,
	stop: decisionResult,
	acknowledge: decisionResult,
	"note-drained": decisionResult,
	"log.read": readResult,
	"log.more": moreResult,
	"log.cancel": cancelResult,
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

/** What the controller says unasked: a transfer sends nothing more by itself, and why. */
export const noticeSchema = z.strictObject({
	jsonrpc: z.literal("2.0"),
	method: z.literal("log.pause"),
	params: z.strictObject({
		transfer: z.int(),
		nextSeq: z.int(),
		durableSeq: z.int(),
		/** Its frames are used up; or it has ended: nothing is left, or the store cannot be read. */
		why: z.enum(["credit", "end", "failed"]),
	}),
});

export type LinkNotice = z.infer<typeof noticeSchema>;
export type LogPause = LinkNotice["params"];

/** JSON-RPC 2.0's own codes, section 5.1 of its specification. */
export const RPC_ERROR = {
	parse: -32700,
	invalidRequest: -32600,
	methodNotFound: -32601,
	invalidParams: -32602,
	internal: -32603,
	/** Ours, from the range left to servers: ask again later. */
	busy: -32000,
	/** Ours: it has ended, or never began. */
	noTransfer: -32001,
} as const;
