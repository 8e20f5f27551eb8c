// A client of the link over a serial device or a controller's local socket: asks, waits, and says
// plainly when no good answer comes. Questions that change nothing are asked again; orders never
// are. What comes of a log is handed on as it is decoded.

import { randomInt } from "node:crypto";
import { lstatSync } from "node:fs";
import { connect } from "node:net";
import type { Duplex } from "node:stream";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import {
	type Batch,
	decodeLogPayload,
	isLogPayload,
	type RecordPart,
} from "../../firmware/link/batch.ts";
import { FrameReader, FrameWriter } from "../../firmware/link/framing.ts";
import {
	type LinkResponse,
	type LogPause,
	type Method,
	noticeSchema,
	type Params,
	PROTOCOL_VERSION,
	type Result,
	responseSchema,
	results,
} from "../../firmware/link/protocol.ts";
import { LINK_BAUD, openSerialLine } from "../../firmware/link/serial-line.ts";

const ANSWER_MS_MAX = 3_000;
/** An order waits for its record, and a slow disk for its sync. */
const DECISION_MS_MAX = 20_000;
const TRIES = 3;
const repeatable: ReadonlySet<Method> = new Set<Method>([
	"hello",
	"status",
	"log.read",
	"log.more",
	"log.cancel",
]);

/** What comes unasked: frames of a transfer, and that one has paused. */
export interface LogListener {
	onFrame(frame: Batch | RecordPart): void;
	onPause(pause: LogPause): void;
}

export class LinkClient {
	/** The device or socket. */
	readonly path: string;
	/** Of frames that came: good, damaged, oversized. */
	readonly reader: FrameReader;
	listener: LogListener | null = null;
	private readonly line: Duplex;
	private readonly writer: FrameWriter;
	private readonly waiting = new Map<number, (response: LinkResponse) => void>();
	/** Starts anywhere: an answer to an earlier program on this line must not pass for ours. */
	private asked = randomInt(2 ** 30);

	/** @param line open already */
	constructor(line: Duplex, path: string) {
		this.line = line;
		this.path = path;
		this.reader = new FrameReader((payload) => this.hear(payload));
		this.writer = new FrameWriter((bytes) => line.write(bytes));
		line.on("data", (bytes: Buffer) => this.reader.push(bytes));
		// A line that breaks shows as one that does not answer.
		line.on("error", () => {});
	}

	/** @throws InputError when the port or socket cannot be opened */
	static async open(path: string): Promise<LinkClient> {
		const line = isSocket(path) ? await openSocket(path) : await openSerialLine(path, LINK_BAUD);
		return new LinkClient(line, path);
	}

	/**
	 * Asks and waits for the answer.
	 * @throws InputError when none comes, when it is damaged, or when the controller refuses it
	 */
	async call<M extends Method>(method: M, params: Params<M>): Promise<Result<M>> {
		const tries = repeatable.has(method) ? TRIES : 1;
		const waitMs = repeatable.has(method) ? ANSWER_MS_MAX / TRIES : DECISION_MS_MAX;
		for (let n = 0; n < tries; n += 1) {
			const response = await this.ask(method, params, waitMs);
			if (response === null) continue;
			if ("error" in response) throw this.refusal(`an error: ${response.error.message}`);
			if (method === "hello") this.refuseOtherVersion(response.result);
			const checked = results[method].safeParse(response.result);
			if (!checked.success) throw this.refusal("an answer of another shape");
			return checked.data as Result<M>;
		}
		const { damaged, oversized } = this.reader.counts;
		const broken = damaged + oversized;
		throw this.refusal(
			broken > 0 ? `${broken} damaged frame(s) (wrong CRC or length) and no good one` : "no answer",
		);
	}

	async close(): Promise<void> {
		await new Promise<void>((resolve) => {
			if (this.line.closed) return resolve();
			this.line.once("close", () => resolve());
			if ("close" in this.line && typeof this.line.close === "function") this.line.close(() => {});
			else this.line.destroy();
		});
	}

	private ask<M extends Method>(method: M, params: Params<M>, waitMs: number) {
		this.asked += 1;
		const id = this.asked;
		return new Promise<LinkResponse | null>((resolve) => {
			const finish = (response: LinkResponse | null) => {
				clearTimeout(timer);
				this.waiting.delete(id);
				resolve(response);
			};
			const timer = setTimeout(() => finish(null), waitMs);
			this.waiting.set(id, finish);
			this.writer.send(Buffer.from(JSON.stringify({ jsonrpc: "2.0", id, method, params })));
		});
	}

	private hear(payload: Buffer): void {
		if (isLogPayload(payload)) {
			this.hearLog(payload);
			return;
		}
		let raw: unknown;
		try {
			raw = JSON.parse(payload.toString("utf8"));
		} catch {
			return;
		}
		const parsed = responseSchema.safeParse(raw);
		if (parsed.success && parsed.data.id !== null) this.waiting.get(parsed.data.id)?.(parsed.data);
		const notice = noticeSchema.safeParse(raw);
		if (notice.success) this.listener?.onPause(notice.data.params);
	}

	private hearLog(payload: Buffer): void {
		let frame: Batch | RecordPart;
		try {
			frame = decodeLogPayload(payload);
		} catch {
			// Its CRC was right and it cannot be read: as good as lost, and asked for again.
			return;
		}
		this.listener?.onFrame(frame);
	}

	private refuseOtherVersion(result: unknown): void {
		const protocol =
			typeof result === "object" && result !== null ? Reflect.get(result, "protocol") : undefined;
		if (typeof protocol !== "number" || protocol === PROTOCOL_VERSION) return;
		const allowed = `version ${PROTOCOL_VERSION}: take the program of the controller's version`;
		const found = `a controller whose link has version ${protocol}`;
		throw new InputError([{ file: this.path, found, allowed }]);
	}

	private refusal(found: string): InputError {
		const allowed = "a controller's link on this port";
		return new InputError([{ file: this.path, found, allowed }]);
	}
}

function isSocket(path: string): boolean {
	return lstatSync(path, { throwIfNoEntry: false })?.isSocket() === true;
}

async function openSocket(path: string): Promise<Duplex> {
	const socket = connect(path);
	await new Promise<void>((resolve, reject) => {
		socket.once("connect", resolve);
		socket.once("error", (error) => {
			const why = messageOf(error);
			const found = /ECONNREFUSED/.test(why)
				? "a socket that no controller serves"
				: /EACCES/.test(why)
					? "a socket of another user"
					: why;
			reject(new InputError([{ file: path, found, allowed: "a controller's socket of your own" }]));
		});
	});
	return socket;
}
