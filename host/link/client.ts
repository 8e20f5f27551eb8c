// A client of the link over a byte line: asks, waits, and says plainly when no good answer comes.
// Questions that change nothing are asked again; orders never are.

import { randomInt } from "node:crypto";
import type { SerialPort } from "serialport";
import { InputError } from "../../firmware/config/input-error.ts";
import { FrameReader, FrameWriter } from "../../firmware/link/framing.ts";
import {
	type LinkResponse,
	type Method,
	type Params,
	type Result,
	responseSchema,
	results,
} from "../../firmware/link/protocol.ts";
import { LINK_BAUD, openSerialLine } from "../../firmware/link/serial-line.ts";

const ANSWER_MS_MAX = 3_000;
/** An order waits for its record, and a slow disk for its sync. */
const DECISION_MS_MAX = 20_000;
const TRIES = 3;
const repeatable: ReadonlySet<Method> = new Set(["hello", "status", "log.read", "log.part"]);

export class LinkClient {
	private readonly port: SerialPort;
	private readonly reader: FrameReader;
	private readonly writer: FrameWriter;
	private readonly waiting = new Map<number, (response: LinkResponse) => void>();
	/** Starts anywhere: an answer to an earlier program on this line must not pass for ours. */
	private asked = randomInt(2 ** 30);

	private constructor(port: SerialPort) {
		this.port = port;
		this.reader = new FrameReader((payload) => this.hear(payload));
		this.writer = new FrameWriter((bytes) => port.write(bytes));
		port.on("data", (bytes: Buffer) => this.reader.push(bytes));
	}

	/** @throws InputError when the port cannot be opened */
	static async open(path: string): Promise<LinkClient> {
		return new LinkClient(await openSerialLine(path, LINK_BAUD));
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
		await new Promise<void>((resolve) => this.port.close(() => resolve()));
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
		let raw: unknown;
		try {
			raw = JSON.parse(payload.toString("utf8"));
		} catch {
			return;
		}
		const parsed = responseSchema.safeParse(raw);
		if (parsed.success && parsed.data.id !== null) this.waiting.get(parsed.data.id)?.(parsed.data);
	}

	private refusal(found: string): InputError {
		const allowed = "a controller's link on this port";
		return new InputError([{ file: this.port.path, found, allowed }]);
	}
}
