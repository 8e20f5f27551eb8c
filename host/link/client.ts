// A client of the link over a byte line: asks, waits, and says plainly when no good answer comes.
// Questions that change nothing are asked again; orders never are.

import { randomInt } from "node:crypto";
import { InputError } from "../../firmware/config/input-error.ts";
import { isLogPayload } from "../../firmware/link/batch.ts";
import { FrameReader, FrameWriter } from "../../firmware/link/framing.ts";
import {
	type LinkNotice,
	type LinkResponse,
	type Method,
	noticeSchema,
	type Params,
	PROTOCOL_VERSION,
	type Result,
	responseSchema,
	results,
} from "../../firmware/link/protocol.ts";
import { isWindowPayload } from "../../firmware/link/window-part.ts";
import { type Line, openLine } from "./line.ts";

const ANSWER_MS_MAX = 3_000;
/** An order waits for its record, and a slow disk for its sync. */
const DECISION_MS_MAX = 20_000;
const TRIES = 3;
const repeatable: ReadonlySet<Method> = new Set([
	"hello",
	"status",
	"senses",
	"rig.read",
	"window.list",
	"proof.list",
	"proof.now",
	"fill.list",
]);

/** No good answer came: what was asked may have been done or not. */
export class NoAnswer extends InputError {}

/** What comes without an answer to it being waited for. */
export interface Heard {
	readonly records: (payload: Buffer) => void;
	readonly notice: (notice: LinkNotice) => void;
	/** Parts of windows; left out by who has asked for none. */
	readonly windows?: (payload: Buffer) => void;
}

export class LinkClient {
	/** Settles when the line is gone, by either end. */
	readonly lost: Promise<void>;
	private readonly line: Line;
	private readonly reader: FrameReader;
	private readonly writer: FrameWriter;
	private readonly waiting = new Map<number, (response: LinkResponse | null) => void>();
	private heard: Heard | null = null;
	private isLost = false;
	/** Starts anywhere: an answer to an earlier program on this line must not pass for ours. */
	private asked = randomInt(2 ** 30);

	constructor(line: Line) {
		this.line = line;
		const { stream } = line;
		this.reader = new FrameReader((payload) => this.hear(payload));
		this.writer = new FrameWriter((bytes) => {
			if (!this.isLost) stream.write(bytes);
		});
		stream.on("data", (bytes: Buffer) => this.reader.push(bytes));
		stream.on("error", () => {});
		this.lost = new Promise((resolve) => {
			stream.once("close", () => {
				this.isLost = true;
				for (const answer of [...this.waiting.values()]) answer(null);
				resolve();
			});
		});
	}

	/** @throws InputError when the port cannot be opened */
	static async open(path: string): Promise<LinkClient> {
		return new LinkClient(await openLine(path));
	}

	/** Good and broken frames so far. */
	get counts(): FrameReader["counts"] {
		return this.reader.counts;
	}

	/** Who takes records and notices from now on. */
	listen(heard: Heard): void {
		this.heard = heard;
	}

	/**
	 * Asks and waits for the answer.
	 * @throws NoAnswer when none comes, or a damaged one
	 * @throws InputError when the controller refuses it
	 */
	async call<M extends Method>(method: M, params: Params<M>): Promise<Result<M>> {
		const tries = repeatable.has(method) ? TRIES : 1;
		const waitMs = repeatable.has(method) ? ANSWER_MS_MAX / TRIES : DECISION_MS_MAX;
		for (let n = 0; n < tries && !this.isLost; n += 1) {
			const response = await this.ask(method, params, waitMs);
			if (response === null) continue;
			if ("error" in response) {
				throw new InputError([this.problem(`an error: ${response.error.message}`)]);
			}
			if (method === "hello") this.refuseOtherVersion(response.result);
			const checked = results[method].safeParse(response.result);
			if (!checked.success) throw new InputError([this.problem("an answer of another shape")]);
			return checked.data as Result<M>;
		}
		throw new NoAnswer([this.problem(this.whyNone())]);
	}

	/** Asks once. @returns the answer as it came; null when none does in that time */
	ask<M extends Method>(
		method: M,
		params: Params<M>,
		waitMs = ANSWER_MS_MAX,
	): Promise<LinkResponse | null> {
		if (this.isLost) return Promise.resolve(null);
		this.asked += 1;
		const id = this.asked;
		return new Promise((resolve) => {
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

	async close(): Promise<void> {
		if (!this.isLost) await this.line.close();
	}

	private hear(payload: Buffer): void {
		if (isLogPayload(payload)) {
			this.heard?.records(payload);
			return;
		}
		if (isWindowPayload(payload)) {
			this.heard?.windows?.(payload);
			return;
		}
		let raw: unknown;
		try {
			raw = JSON.parse(payload.toString("utf8"));
		} catch {
			return;
		}
		const response = responseSchema.safeParse(raw);
		if (response.success) {
			if (response.data.id !== null) this.waiting.get(response.data.id)?.(response.data);
			return;
		}
		const notice = noticeSchema.safeParse(raw);
		if (notice.success) this.heard?.notice(notice.data);
	}

	/** Another version's answers may have another shape: which one it is comes first. */
	private refuseOtherVersion(hello: unknown): void {
		const protocol =
			typeof hello === "object" && hello !== null ? Reflect.get(hello, "protocol") : undefined;
		if (typeof protocol !== "number" || protocol === PROTOCOL_VERSION) return;
		const allowed = `version ${PROTOCOL_VERSION}: take the program of the controller's version`;
		const found = `a controller whose link has version ${protocol}`;
		throw new InputError([{ file: this.line.path, found, allowed }]);
	}

	private whyNone(): string {
		if (this.isLost) return "a line that was lost before the answer came";
		const { damaged, oversized } = this.reader.counts;
		const broken = damaged + oversized;
		return broken > 0
			? `${broken} damaged frame(s) (wrong CRC or length) and no good one`
			: "no answer";
	}

	private problem(found: string) {
		return { file: this.line.path, found, allowed: "a controller's link on this port" };
	}
}
