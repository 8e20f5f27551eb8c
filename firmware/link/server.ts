// Answers requests on one line, each when its answer is known. It can ask for a status, hand
// commands to the next tick and read durable records; nothing else, and never a pin.

import { messageOf } from "../config/input-error.ts";
import type { Command } from "../cycle/commands.ts";
import type { StoredRecord } from "../log/database.ts";
import { FrameReader, FrameWriter, PAYLOAD_BYTES_MAX } from "./framing.ts";
import {
	type Decision,
	type LinkRequest,
	type LinkResponse,
	type Method,
	PROTOCOL_VERSION,
	type Result,
	RPC_ERROR,
	requestSchema,
	results,
	type Status,
} from "./protocol.ts";

/** What a link may do to a controller. */
export interface LinkHost {
	readonly storeId: string;
	readonly boot: number;
	readonly rig: string;
	status(): Status;
	submit(command: Command): Promise<Decision>;
	readLog(from: number, max: number): Promise<StoredRecord[]>;
}

/** Requests under way on one line; more are answered with `busy`. A stop is never too many. */
const OPEN_MAX = 16;
const BATCH_MAX = 32;
/** What is around the records of an answer. */
const ENVELOPE_BYTES = 120;
/** Of a record that comes in parts; base64 makes 800 of them. */
const PART_BYTES = 600;

export class LinkServer {
	private readonly reader: FrameReader;
	private readonly host: LinkHost;
	private readonly writer: FrameWriter;
	private readonly isCongested: () => boolean;
	private open = 0;

	/**
	 * @param write puts bytes on the line
	 * @param isCongested whether what was written before is still waiting for the client to read
	 */
	constructor(host: LinkHost, write: (bytes: Buffer) => void, isCongested = () => false) {
		this.host = host;
		this.isCongested = isCongested;
		this.writer = new FrameWriter(write);
		this.reader = new FrameReader((payload) => void this.take(payload));
	}

	push(bytes: Buffer): void {
		this.reader.push(bytes);
	}

	/** Nothing waits for what came before: a stop is not to stand behind an order's record. */
	private async take(payload: Buffer): Promise<void> {
		const request = read(payload);
		// Who does not read his answers gets none, but his stop is heard.
		const stops = "method" in request && request.method === "stop";
		if (this.isCongested() && !stops) return;
		if ("error" in request) return this.send(request);
		const { id } = request;
		if (this.open >= OPEN_MAX && !stops) return this.send(failure(id, RPC_ERROR.busy, "busy"));
		this.open += 1;
		try {
			this.send({ jsonrpc: "2.0", id, result: await this.answer(request) });
		} catch (error) {
			const why = messageOf(error);
			this.send(failure(id, RPC_ERROR.internal, why));
		} finally {
			this.open -= 1;
		}
	}

	private send(response: LinkResponse): void {
		const payload = Buffer.from(JSON.stringify(response));
		const why = "the answer does not fit a frame";
		const fits = payload.length <= PAYLOAD_BYTES_MAX;
		const other = () => Buffer.from(JSON.stringify(failure(response.id, RPC_ERROR.internal, why)));
		this.writer.send(fits ? payload : other());
	}

	private answer(request: LinkRequest): Promise<Result<Method>> | Result<Method> {
		const { host } = this;
		switch (request.method) {
			case "hello": {
				const { storeId, boot, rig } = host;
				const methods = Object.keys(results);
				return { protocol: PROTOCOL_VERSION, storeId, boot, rig, methods };
			}
			case "status":
				return host.status();
			case "polish":
				return host.submit({ type: "polish", ...request.params });
			case "transfer":
				return host.submit({ type: "transfer", ...request.params });
			case "sweep":
				return host.submit({ type: "sweep", ...request.params });
			case "plan":
				return host.submit({ type: "plan", ...request.params });
			case "cancel-plan":
				return host.submit({ type: "cancel-plan", ...request.params });
			case "set-clock":
				return host.submit({ type: "set-clock", ...request.params });
			case "stop":
				return host.submit({ type: "stop", ...request.params });
			case "acknowledge":
				return host.submit({ type: "acknowledge", ...request.params });
			case "note-drained":
				return host.submit({ type: "note-drained", ...request.params });
			case "log.read":
				return this.readLog(request.params.from);
			case "log.part":
				return this.readPart(request.params.seq, request.params.offset);
		}
	}

	/** As many durable records as fit one frame; one that does not fit alone comes in parts. */
	private async readLog(from: number): Promise<Result<"log.read">> {
		const { durableSeq } = this.host.status();
		const found = await this.host.readLog(from, BATCH_MAX);
		const records: StoredRecord[] = [];
		let bytes = ENVELOPE_BYTES;
		for (const record of found) {
			if (record.seq > durableSeq) break;
			bytes += Buffer.byteLength(JSON.stringify(record)) + 1;
			if (bytes > PAYLOAD_BYTES_MAX) break;
			records.push(record);
		}
		const [first] = found;
		const isLarge = records.length === 0 && first !== undefined && first.seq <= durableSeq;
		return { records, large: isLarge ? first.seq : null, durableSeq };
	}

	private async readPart(seq: number, offset: number): Promise<Result<"log.part">> {
		const [record] = await this.host.readLog(seq, 1);
		if (record?.seq !== seq || seq > this.host.status().durableSeq) {
			throw new Error(`no durable record ${seq}`);
		}
		const whole = Buffer.from(record.json);
		const part = whole.subarray(offset, offset + PART_BYTES);
		return { base64: part.toString("base64"), bytes: whole.length, chain: record.chain };
	}
}

/** The request in a payload, or the error that answers it. */
function read(payload: Buffer): LinkRequest | Extract<LinkResponse, { error: unknown }> {
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

function refusal(raw: unknown, why: string) {
	const field = (name: string): unknown =>
		typeof raw === "object" && raw !== null ? Reflect.get(raw, name) : undefined;
	const id = field("id");
	const known = Object.keys(results).includes(String(field("method")));
	const code = known ? RPC_ERROR.invalidParams : RPC_ERROR.methodNotFound;
	const number = typeof id === "number" && Number.isInteger(id) ? id : null;
	return failure(number, number === null ? RPC_ERROR.invalidRequest : code, why);
}

function failure(id: number | null, code: number, message: string) {
	return { jsonrpc: "2.0" as const, id, error: { code, message } };
}
