// One client of the link on its line: reads its requests when it is its turn, answers each when the
// answer is known, and sends what it has asked for of the log while the line has little to do.

import { messageOf } from "../config/input-error.ts";
import type { Command } from "../cycle/commands.ts";
import { cutTo } from "../frame-text.ts";
import { LOG_FRAME_BYTES_MAX } from "./batch.ts";
import {
	type Budget,
	BYTES_PER_TICK,
	type ByteQueue,
	type CommandAllowance,
	FRAMES_PER_TICK,
	QUEUE_BYTES_MAX,
} from "./budget.ts";
import { FrameReader, FrameWriter, PAYLOAD_BYTES_MAX, RAW_BYTES_MAX } from "./framing.ts";
import {
	CREDIT_MAX,
	type Decision,
	type LinkNotice,
	type LinkRequest,
	type LinkResponse,
	type Method,
	type Params,
	PROTOCOL_VERSION,
	type Result,
	RPC_ERROR,
	results,
	TRANSFERS_MAX,
} from "./protocol.ts";
import { failure, RpcFailure, readRequest } from "./requests.ts";
import type { LinkHost } from "./server.ts";
import { type Pause, type Transfer, Transfers } from "./transfers.ts";
import type { EncodedWindowPart } from "./window-part.ts";

/** A way to a client and back. */
export interface Line {
	write(bytes: Buffer): void;
	/** Bytes written that are still on this side of it. */
	waiting(): number;
	/** Ends it; where it cannot be ended, throws away what waits on it. */
	drop(): void;
}

/** A stretch of a window on its way to the client. */
interface WindowTransfer {
	readonly transfer: number;
	readonly seq: number;
	offset: number;
	/** Frames that may still be sent. */
	credit: number;
}

/** Requests under way on one line; more are answered with `busy`. A stop is never too many. */
const OPEN_MAX = 16;
/** More is written only while less than this waits on the line: an answer stands behind no log. */
const LITTLE_BYTES = 2_048;

export class LinkSession {
	private readonly host: LinkHost;
	private readonly line: Line;
	private readonly onInput: () => void;
	private readonly input: ByteQueue;
	private readonly commands: CommandAllowance;
	private readonly writer = new FrameWriter((bytes) => this.put(bytes));
	private readonly transfers = new Transfers();
	/** The window that is being read; none when it or its credit has come to its end. */
	private window: WindowTransfer | null = null;
	/** Goes up when another window is wanted, or none: one that was asked for before is dropped. */
	private windowTurn = 0;
	private reader = this.newReader();
	private output: Buffer[] = [];
	private outputBytes = 0;
	private open = 0;
	private hasEnded = false;
	/** A frame is being read from the store. */
	private isFetching = false;
	/** Whoever was asked under an earlier one is not there to hear the answer. */
	private epoch = 0;

	/**
	 * @param input empty; the server's own, who may use it again after this session
	 * @param onInput told when there is something to take a turn for
	 */
	constructor(
		host: LinkHost,
		line: Line,
		input: ByteQueue,
		commands: CommandAllowance,
		onInput: () => void,
	) {
		this.host = host;
		this.line = line;
		this.input = input;
		this.commands = commands;
		this.onInput = onInput;
	}

	/** The line is gone for good: nothing of it is heard any more. */
	end(): void {
		this.forget();
		this.hasEnded = true;
	}

	/** Bytes from the client: they wait for their turn. */
	push(bytes: Uint8Array): void {
		if (this.hasEnded) return;
		if (this.input.push(bytes)) this.onInput();
		else this.drop();
	}

	/** Handles one frame, or what the budget allows of it. @returns false when nothing waits */
	takeTurn(budget: Budget): boolean {
		if (this.input.length === 0) return false;
		const { good, damaged, oversized } = this.reader.counts;
		const before = good + damaged + oversized;
		const { reader } = this;
		const used = reader.take(this.input.peek(budget.bytesLeft), 1);
		const after = reader.counts.good + reader.counts.damaged + reader.counts.oversized;
		budget.spend(after - before, used);
		// A drop within the turn has emptied it already.
		this.input.skip(Math.min(used, this.input.length));
		return true;
	}

	/** Puts on the line what waits and what of the log is due, as far as it takes them. */
	serve(): void {
		this.flush();
		const durableSeq = this.host.durableSeq();
		for (const ended of this.transfers.takeEnded(durableSeq)) this.tellPause(ended, "end");
		if (this.isFetching || this.output.length > 0 || this.line.waiting() >= LITTLE_BYTES) return;
		const transfer = this.transfers.next(durableSeq);
		if (transfer !== null) this.run(this.fetch(transfer, Math.min(transfer.to, durableSeq)));
		else if (this.window !== null) this.run(this.fetchWindow(this.window));
	}

	/** A line on which it fails is dropped: left alone, a rejection would end the controller. */
	private run(work: Promise<void>): void {
		work.catch(() => {
			if (!this.hasEnded) this.drop();
		});
	}

	/** Nothing asked so far is answered any more; what comes next is a new client's. */
	private forget(): void {
		this.epoch += 1;
		this.open = 0;
		this.transfers.clear();
		this.endWindow();
		this.input.clear();
		this.output = [];
		this.outputBytes = 0;
		this.reader = this.newReader();
	}

	private endWindow(): void {
		this.window = null;
		this.windowTurn += 1;
	}

	private drop(): void {
		this.forget();
		this.line.drop();
	}

	private newReader(): FrameReader {
		return new FrameReader((payload) => this.run(this.take(payload)));
	}

	/** Nothing waits for what came before: a stop is not to stand behind an order's record. */
	private async take(payload: Buffer): Promise<void> {
		const request = readRequest(payload);
		if ("error" in request) return this.send(request);
		const { id } = request;
		const stops = request.method === "stop";
		if (this.open >= OPEN_MAX && !stops) return this.send(failure(id, RPC_ERROR.busy, "busy"));
		const { epoch } = this;
		this.open += 1;
		let response: LinkResponse;
		try {
			response = { jsonrpc: "2.0", id, result: await this.answer(request) };
		} catch (error) {
			const code = error instanceof RpcFailure ? error.code : RPC_ERROR.internal;
			response = failure(id, code, messageOf(error));
		}
		if (epoch !== this.epoch) return;
		this.open -= 1;
		this.send(response);
		this.serve();
	}

	private answer(request: LinkRequest): Promise<Result<Method>> | Result<Method> {
		const { host, transfers } = this;
		switch (request.method) {
			case "hello":
				// Whoever says it begins anew; what an earlier program has asked for is not for him.
				transfers.clear();
				this.endWindow();
				return helloOf(host);
			case "status":
				return host.status();
			case "polish":
				return this.submit({ type: "polish", ...request.params });
			case "transfer":
				return this.submit({ type: "transfer", ...request.params });
			case "sweep":
				return this.submit({ type: "sweep", ...request.params });
			case "plan":
				return this.submit({ type: "plan", ...request.params });
			case "cancel-plan":
				return this.submit({ type: "cancel-plan", ...request.params });
			case "clock.set":
				return this.submit({ type: "set-clock", ...request.params });
			case "stop":
				return host.submit({ type: "stop", ...request.params });
			case "acknowledge":
				return this.submit({ type: "acknowledge", ...request.params });
			case "note-drained":
				return this.submit({ type: "note-drained", ...request.params });
			case "log.read":
				if (!transfers.begin(request.params)) {
					throw new RpcFailure(RPC_ERROR.busy, `${TRANSFERS_MAX} transfers are open`);
				}
				return { durableSeq: host.durableSeq(), storeId: host.storeId };
			case "log.more": {
				const transfer = transfers.addCredit(request.params);
				if (transfer === null) throw new RpcFailure(RPC_ERROR.noTransfer, "no such transfer");
				return { nextSeq: transfer.nextSeq, durableSeq: host.durableSeq() };
			}
			case "log.cancel":
				return { wasOpen: transfers.end(request.params.transfer) };
			case "senses":
				return host.senses();
			case "rig.read":
				return host.rigText.part(request.params.offset);
			case "pair.show":
				return host.pairing.show();
			case "pair.check":
				return host.pairing.check(request.params.code);
			case "window.list":
				return this.listWindows(request.params.after);
			case "window.read":
				return this.beginWindow(request.params);
			case "proof.list":
				return host.proofs(request.params.from);
			case "proof.now":
				return host.trialNow();
			case "fill.list":
				return host.fills();
			case "proof.begin":
				return this.submit({ type: "prove-begin", ...request.params });
			case "proof.answer":
				return this.submit({ type: "prove-answer", ...request.params });
			case "proof.end":
				return this.submit({ type: "prove-end", ...request.params });
			case "part.changed":
				return this.submit({ type: "change-part", ...request.params });
			case "fill.strike":
				return this.submit({ type: "strike-fill", ...request.params });
		}
	}

	private async listWindows(after: number): Promise<Result<"window.list">> {
		const found = await this.host.windows(after);
		const durableSeq = this.host.durableSeq();
		const windows = found.filter(({ seq }) => seq <= durableSeq);
		return { windows, storeId: this.host.storeId };
	}

	/** The answer comes when the window is ready to be read; the one before ends at once. */
	private async beginWindow(params: Params<"window.read">): Promise<Result<"window.read">> {
		const { transfer, seq, offset, frames } = params;
		this.endWindow();
		const { windowTurn } = this;
		const facts = seq <= this.host.durableSeq() ? await this.host.window(seq) : null;
		if (facts === null) throw new RpcFailure(RPC_ERROR.noWindow, "no such window");
		const isWanted = windowTurn === this.windowTurn && offset < facts.total;
		if (isWanted) this.window = { transfer, seq, offset, credit: frames };
		return { ...facts, storeId: this.host.storeId };
	}

	/** Hands a command to the next tick. A stop goes by itself: it is never too many. */
	private submit(command: Command): Promise<Decision> {
		if (!this.commands.spend()) throw new RpcFailure(RPC_ERROR.busy, "too many commands");
		return this.host.submit(command);
	}

	private async fetch(transfer: Transfer, to: number): Promise<void> {
		const { epoch } = this;
		const { transfer: number, nextSeq: from, nextOffset: offset } = transfer;
		this.isFetching = true;
		let batch: Awaited<ReturnType<LinkHost["readBatch"]>> = null;
		try {
			batch = await this.host.readBatch({ transfer: number, from, offset, to });
		} catch {
			// A store that cannot be read is told like one that has nothing: there is no more of it.
		} finally {
			this.isFetching = false;
		}
		if (epoch === this.epoch && this.transfers.has(transfer)) {
			if (batch === null) {
				this.transfers.end(number);
				this.tellPause(transfer, "failed");
			} else {
				this.writer.send(batch.payload);
				this.transfers.advance(transfer, batch);
				const isUsedUp = transfer.credit === 0 && transfer.nextSeq <= transfer.to;
				if (isUsedUp) this.tellUsedUp(transfer);
			}
		}
		this.serve();
	}

	private async fetchWindow(window: WindowTransfer): Promise<void> {
		const { epoch } = this;
		const { transfer, seq, offset } = window;
		this.isFetching = true;
		let part: EncodedWindowPart | null = null;
		try {
			part = await this.host.readWindow({ transfer, seq, offset });
		} catch {
			// Whoever waits for it asks again, and is told then.
		} finally {
			this.isFetching = false;
		}
		if (epoch === this.epoch && this.window === window) {
			if (part === null) this.window = null;
			else {
				this.writer.send(part.payload);
				window.offset = part.nextOffset;
				window.credit -= 1;
				if (window.credit === 0 || part.isLast) this.window = null;
			}
		}
		this.serve();
	}

	/** Unless there is nothing left anyhow, of which the client is told next. */
	private tellUsedUp(transfer: Transfer): void {
		const isMore = transfer.follows || transfer.nextSeq <= this.host.durableSeq();
		if (isMore) this.tellPause(transfer, "credit");
	}

	private tellPause({ transfer, nextSeq }: Transfer, why: Pause): void {
		const params = { transfer, nextSeq, durableSeq: this.host.durableSeq(), why };
		this.send({ jsonrpc: "2.0", method: "log.pause", params });
	}

	private send(message: LinkResponse | LinkNotice): void {
		const payload = Buffer.from(JSON.stringify(message));
		if (payload.length <= PAYLOAD_BYTES_MAX) this.writer.send(payload);
		else if ("id" in message) {
			this.send(failure(message.id, RPC_ERROR.internal, "the answer does not fit a frame"));
		}
	}

	private put(bytes: Buffer): void {
		this.output.push(bytes);
		this.outputBytes += bytes.length;
		this.flush();
		if (this.outputBytes > QUEUE_BYTES_MAX) this.drop();
	}

	private flush(): void {
		while (this.line.waiting() < LITTLE_BYTES) {
			const bytes = this.output.shift();
			if (bytes === undefined) return;
			this.outputBytes -= bytes.length;
			this.line.write(bytes);
		}
	}
}

/** The longest name that there may be, unless it is made of control characters. */
const NAME_BYTES_MAX = 240;

/** What a controller says of itself and of its link. */
export function helloOf({
	storeId,
	boot,
	rig,
}: Pick<LinkHost, "storeId" | "boot" | "rig">): Result<"hello"> {
	return {
		protocol: PROTOCOL_VERSION,
		storeId,
		boot,
		rig: cutTo(rig, NAME_BYTES_MAX),
		methods: Object.keys(results),
		limits: {
			frameBytesMax: RAW_BYTES_MAX,
			batchFrameBytesMax: LOG_FRAME_BYTES_MAX,
			framesPerTick: FRAMES_PER_TICK,
			bytesPerTick: BYTES_PER_TICK,
			queueBytesMax: QUEUE_BYTES_MAX,
			transfersMax: TRANSFERS_MAX,
			creditMax: CREDIT_MAX,
		},
	};
}
