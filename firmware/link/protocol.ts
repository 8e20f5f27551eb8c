// The link's protocol: JSON-RPC 2.0 requests and results as zod schemas. Pure: the controller, the
// command line and a browser use the same. How bytes carry it is framing.ts's business.

import * as z from "zod";
import {
	commissionRequests as asked,
	fillListResult,
	proofListResult,
	proofNowResult,
} from "../commission/schemas.ts";
import { polishSchema, sweepSchema, transferSchema } from "../cycle/order-schemas.ts";
import { planSchema } from "../cycle/plan-schema.ts";
import { clockSchema } from "../local-time.ts";

export const PROTOCOL_VERSION = 2;

export const TRANSFERS_MAX = 4;
/** Frames that a client may have asked for and not yet got, of one transfer. */
export const CREDIT_MAX = 64;
/** Windows that one answer tells of: it must fit a frame. */
export const WINDOWS_LISTED = 10;

const id = z.string().min(1).max(64).describe("chosen by the client; once for ever");
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
	request("cancel-plan", z.strictObject({ id, planId: id.describe("of the plan") })),
	request("clock.set", z.strictObject({ id, clock: clockSchema })),
	request("stop", z.strictObject({ id })),
	request("acknowledge", z.strictObject({ id })),
	request(
		"note-drained",
		z.strictObject({ id, waterMl: z.number().min(0).max(100_000).describe("water drained, mL") }),
	),
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
	request("senses", z.strictObject({})),
	request(
		"rig.read",
		z.strictObject({ offset: z.int().min(0).describe("the first character wanted") }),
	),
	request("pair.show", z.strictObject({})),
	request(
		"pair.check",
		z.strictObject({
			code: z
				.string()
				.regex(/^\d{6}$/, "six digits")
				.describe("as it is shown"),
		}),
	),
	request(
		"window.list",
		z.strictObject({ after: z.int().min(0).describe("only windows of records after this one") }),
	),
	request(
		"window.read",
		z.strictObject({
			transfer: transfer.describe("chosen by the client; another one for each request"),
			seq: seq.describe("the record that has pinned it"),
			offset: z.int().min(0).describe("the first byte wanted"),
			frames: credit,
		}),
	),
	request("proof.list", asked["proof.list"]),
	request("proof.now", asked["proof.now"]),
	request("proof.begin", asked["proof.begin"]),
	request("proof.answer", asked["proof.answer"]),
	request("proof.end", asked["proof.end"]),
	request("part.changed", asked["part.changed"]),
	request("fill.list", asked["fill.list"]),
	request("fill.strike", asked["fill.strike"]),
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
	protocol: z.int().describe(`version of this page: ${PROTOCOL_VERSION}`),
	storeId: z.string().describe("identity of the log; record numbers count within it"),
	boot: z.int().describe("number of this start of the controller"),
	rig: z.string().describe("name of the rig, as in its file"),
	methods: z.array(z.string()).describe("what this controller understands"),
	limits: z.strictObject({
		frameBytesMax: z.int().describe("raw bytes of a JSON frame between its ENDs"),
		batchFrameBytesMax: z.int().describe("raw bytes of a log frame, its ENDs counted"),
		framesPerTick: z.int().describe("frames of input handled in a tick of 100 ms, all clients"),
		bytesPerTick: z.int().describe("bytes of input looked at in a tick, all clients"),
		queueBytesMax: z.int().describe("bytes that may wait for a client, each way"),
		transfersMax: z.int().describe("open transfers of a client"),
		creditMax: z.int().describe("frames of credit of a transfer"),
	}),
});

const tally = z.strictObject({
	motorMs: z.int().describe("time of the motor, ms"),
	pulses: z.int().describe("of the meter"),
});

const statusResult = z.strictObject({
	monoMs: z.int().describe("time since this boot began, ms"),
	state: z
		.string()
		.describe("idle, commissioning, priming, polishing, resting, standing, held, tripped …"),
	trips: z
		.array(z.strictObject({ code: z.string(), cause: z.string() }))
		.describe("open ones, the worst three"),
	pumpDemanded: z.boolean().describe("the controller asks for the pump to run"),
	armed: z
		.nullable(z.strictObject({ tank: z.nullable(z.string()) }))
		.describe("an unattended plan is armed at the rig, for that tank or for its first order's"),
	heldFor: z.array(z.string()).describe("what a held order waits for"),
	order: z
		.nullable(
			z.strictObject({
				id: z.string(),
				work: z.string(),
				tank: z.string(),
				toTank: z.nullable(z.string()),
				goalLitres: z.nullable(z.number()),
				goalHours: z.nullable(z.number()),
				goalShare: z.nullable(z.number()),
			}),
		)
		.describe("the order at work"),
	localTime: z.nullable(z.string()).describe("as 2026-11-29T10:00; null while unknown"),
	planned: z
		.array(z.string())
		.describe("ids of plans for once that wait, three of them; one while a trip is open"),
	waits: z
		.nullable(z.strictObject({ id: z.string(), why: z.string() }))
		.describe("the plan that is due and does not begin, and the first reason; null while tripped"),
	run: tally.describe("of the order at work"),
	pulsesPerLitre: z.number().describe("the meter's factor"),
	durableSeq: z.int().describe("the last record that may be read"),
	logFailed: z.boolean().describe("no record can be kept any more"),
	tickLateMsMax: z.number().describe("latest tick of this boot against its time, ms"),
	ticks: z.int().describe("of this boot"),
});

const quantity = z.union([z.number(), z.string()]);

/** A quantity is a number or the word that says why there is none. */
const sensesResult = z.strictObject({
	monoMs: z.int().describe("time since this boot began, ms"),
	commissioned: z.boolean().describe("the rig's stops have been proven at the box"),
	sensed: z
		.nullable(
			z.strictObject({
				flowLph: quantity.describe("L/h"),
				vacuumKpa: quantity.describe("at the pump's inlet, kPa"),
				bowlTapKpa: quantity.describe("between bowl and element, kPa"),
				supplyVolts: quantity.describe("V"),
				motorAmps: quantity.describe("A"),
				fuelC: quantity.describe("°C"),
				caseC: quantity.describe("of the motor, °C"),
				levelFrom: quantity.describe("share of the tank under the tube"),
				levelTo: quantity.describe("share of the tank under the return"),
				probe: z.string().describe("dry, wet, or why it is unknown"),
				tray: z.string().describe("made while dry"),
				stop: z.string().describe("made while released"),
				returnSeat: z.string().describe("made while seated"),
				tubeSeat: z.string().describe("made while seated"),
			}),
		)
		.describe("as the last tick made it of its readings; null before the first"),
	blocked: z
		.array(z.strictObject({ code: z.string(), why: z.string() }))
		.describe("why an acknowledgement at the box would be refused now, three reasons at most"),
});

const rigResult = z.strictObject({
	revision: z.string().describe("of the rig file; another one means another file"),
	length: z.int().describe("of the whole text, characters (UTF-16)"),
	text: z.string().describe("from the offset on; ask again from where it ends"),
});

const shownResult = z.strictObject({
	isShown: z.boolean().describe("a new code stands on the controller's terminal"),
	waitSeconds: z
		.int()
		.describe("until another one may be asked for, s; it grows with codes that nobody used"),
});

const checkedResult = z.strictObject({
	isRight: z.boolean().describe("the code is used up then"),
	triesLeft: z.int().describe("at the code that is shown"),
});

const decisionResult = z.strictObject({
	accepted: z.boolean().describe("true: written down, safe from a power cut, and in effect"),
	reasons: z.array(z.string()).describe("why not"),
});

const readResult = z.strictObject({
	durableSeq: z.int().describe("the last record that may be read"),
	storeId: z.string().describe("identity of the log"),
});

const moreResult = z.strictObject({
	nextSeq: z.int().describe("the record that the next frame begins with"),
	durableSeq: z.int().describe("the last record that may be read"),
});

const cancelResult = z.strictObject({
	wasOpen: z.boolean().describe("false: it had ended, or never began"),
});

const windowsResult = z.strictObject({
	windows: z
		.array(
			z.strictObject({
				seq: z.int().describe("the record that has pinned it"),
				boot: z.int(),
				toMs: z.int().describe("its last tick, since that boot"),
			}),
		)
		.describe(`at most ${WINDOWS_LISTED}, first to last; none: that is all`),
	storeId: z.string().describe("identity of the log"),
});

const windowResult = z.strictObject({
	total: z.int().describe("bytes of the window"),
	crc: z.int().describe("CRC-32 over all of them"),
	storeId: z.string().describe("identity of the log"),
});

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
	senses: sensesResult,
	"rig.read": rigResult,
	"pair.show": shownResult,
	"pair.check": checkedResult,
	"window.list": windowsResult,
	"window.read": windowResult,
	"proof.list": proofListResult,
	"proof.now": proofNowResult,
	"proof.begin": decisionResult,
	"proof.answer": decisionResult,
	"proof.end": decisionResult,
	"part.changed": decisionResult,
	"fill.list": fillListResult,
	"fill.strike": decisionResult,
} as const satisfies Record<Method, z.ZodType>;

export type Result<M extends Method> = z.infer<(typeof results)[M]>;
export type Status = Result<"status">;
export type Senses = Result<"senses">;
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
		transfer: z.int().describe("which one"),
		nextSeq: z.int().describe("the record that it would go on with"),
		durableSeq: z.int().describe("the last record that may be read"),
		why: z
			.enum(["credit", "end", "failed"])
			.describe("credit used up; or ended: nothing is left, or the store cannot be read"),
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
	/** Ours: no record has pinned one, or it has made room for newer ones. */
	noWindow: -32002,
} as const;
