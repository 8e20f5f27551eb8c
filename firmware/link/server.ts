// Answers requests on one line, each when its answer is known. It can ask for a status, hand
// commands to the next tick and read durable records; nothing else, and never a pin.

import type { Command } from "../cycle/orders.ts";
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

/** Requests under way on one line; more are dropped, the client asks again. */
const OPEN_MAX = 16;
const BATCH_MAX = 32;

export class LinkServer {
	private readonly reader: FrameReader;
	private readonly host: LinkHost;
	private readonly writer: FrameWriter;
	private open = 0;

	/** @param write puts bytes on the line */
	constructor(host: LinkHost, write: (bytes: Buffer) => void) {
		this.host = host;
		this.writer = new FrameWriter(write);
		this.reader = new FrameReader((payload) => void this.take(payload));
	}

	push(bytes: Buffer): void {
		this.reader.push(bytes);
	}

	/** Nothing waits for what came before: a stop is not to stand behind an order's record. */
	private async take(payload: Buffer): Promise<void> {
		if (this.open >= OPEN_MAX) return;
		this.open += 1;
		const response = await this.respond(payload);
		this.open -= 1;
		this.writer.send(Buffer.from(JSON.stringify(response)));
	}

	private async respond(payload: Buffer): Promise<LinkResponse> {
		let raw: unknown;
		try {
			raw = JSON.parse(payload.toString("utf8"));
		} catch {
			return failure(null, RPC_ERROR.parse, "not JSON");
		}
		const parsed = requestSchema.safeParse(raw);
		if (!parsed.success) return refusal(raw, parsed.error.issues[0]?.message ?? "not a request");
		const { data } = parsed;
		try {
			return { jsonrpc: "2.0", id: data.id, result: await this.answer(data) };
		} catch (error) {
			const why = error instanceof Error ? error.message : String(error);
			return failure(data.id, RPC_ERROR.internal, why);
		}
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
			case "stop":
				return host.submit({ type: "stop", ...request.params });
			case "acknowledge":
				return host.submit({ type: "acknowledge", ...request.params });
			case "note-drained":
				return host.submit({ type: "note-drained", ...request.params });
			case "log.read":
				return this.readLog(request.params.from);
		}
	}

	/** As many durable records as fit one frame; at least one. */
	private async readLog(from: number): Promise<Result<"log.read">> {
		const { durableSeq } = this.host.status();
		const found = await this.host.readLog(from, BATCH_MAX);
		const records: StoredRecord[] = [];
		let bytes = 120;
		for (const record of found) {
			if (record.seq > durableSeq) break;
			bytes += Buffer.byteLength(JSON.stringify(record)) + 1;
			if (records.length > 0 && bytes > PAYLOAD_BYTES_MAX) break;
			records.push(record);
		}
		return { records, durableSeq };
	}
}

function refusal(raw: unknown, why: string): LinkResponse {
	const field = (name: string): unknown =>
		typeof raw === "object" && raw !== null ? Reflect.get(raw, name) : undefined;
	const id = field("id");
	const known = Object.keys(results).includes(String(field("method")));
	const code = known ? RPC_ERROR.invalidParams : RPC_ERROR.methodNotFound;
	const number = typeof id === "number" && Number.isInteger(id) ? id : null;
	return failure(number, number === null ? RPC_ERROR.invalidRequest : code, why);
}

function failure(id: number | null, code: number, message: string): LinkResponse {
	return { jsonrpc: "2.0", id, error: { code, message } };
}
