// Fetches one window of tick inputs over a client: stretch by stretch, holes again, and after a cut
// from where it was. What has come outlives the line. A window that newer ones have shortened
// meanwhile begins anew; one that cannot be had is told with the reason.

import { randomInt } from "node:crypto";
import { crc32 } from "node:zlib";
import * as z from "zod";
import { describeProblem } from "../../firmware/config/input-error.ts";
import { CREDIT_MAX, type LinkResponse, RPC_ERROR } from "../../firmware/link/protocol.ts";
import { decodeWindowPart, WINDOW_BYTES_MAX } from "../../firmware/link/window-part.ts";
import { BadBytes } from "../../firmware/log/varint.ts";
import type { LinkClient } from "./client.ts";

/** Why a window cannot be had, while others may. */
export interface WindowFailure {
	/** Of the controller's answer; null when what came is at fault. */
	readonly code: number | null;
	readonly message: string;
}

export type WindowEnd = "done" | "gone" | "lost" | "ended" | WindowFailure;

/** Bytes of a window in a frame, at the least as a rule. */
const BYTES_A_FRAME = 440;
/** A question is asked again after so long: it may be lost, or the window not be ready yet. */
const READY_MS = 3_000;
/** Nothing of a stretch for so long: the rest of it is lost. */
const SILENT_MS = 800;
/** Stretches in a row of which nothing came: the other end has gone. */
const SILENT_MAX = 8;
const BUSY_MS = 500;
const LOOK_MS = 5;

interface Stretch {
	readonly transfer: number;
	frames: number;
	heardMs: number;
}

export class WindowFetch {
	readonly seq: number;
	private whole: { readonly total: number; readonly crc: number } | null = null;
	private bytes = new Uint8Array(0);
	/** Where each piece that came begins, and how long it is. */
	private readonly got = new Map<number, number>();
	private stretch: Stretch | null = null;

	constructor(seq: number) {
		this.seq = seq;
	}

	/** Of the window, when it has come to its end. */
	get content(): Uint8Array {
		return this.bytes;
	}

	/** Goes on over this client. */
	async over(
		client: LinkClient,
		signal: AbortSignal,
		onBytes: (count: number) => void,
	): Promise<WindowEnd> {
		let isLost = false;
		void client.lost.then(() => {
			isLost = true;
		});
		client.listen({
			records: () => {},
			notice: () => {},
			windows: (payload) => this.hear(payload, onBytes),
		});
		for (let silent = 0; silent < SILENT_MAX && !isLost; ) {
			if (signal.aborted) return "ended";
			const hole = this.firstHole();
			if (hole === null) return this.finish();
			const before = this.got.size;
			const filled = await this.fill(client, hole, () => isLost || signal.aborted);
			if (filled === "gone" || typeof filled === "object") return filled;
			if (filled === "busy") await pause(BUSY_MS);
			silent = this.got.size > before ? 0 : silent + 1;
		}
		return "lost";
	}

	/** Asks for what a hole takes and waits until it has come, or nothing comes any more. */
	private async fill(
		client: LinkClient,
		{ from, to }: Hole,
		isOver: () => boolean,
	): Promise<"sent" | "gone" | "busy" | WindowFailure> {
		const transfer = randomInt(1, 2 ** 24);
		const frames = Math.min(CREDIT_MAX, Math.ceil((to - from) / BYTES_A_FRAME) + 1);
		const stretch = { transfer, frames, heardMs: performance.now() };
		this.stretch = stretch;
		const params = { transfer, seq: this.seq, offset: from, frames };
		let response: LinkResponse | null = null;
		void client.ask("window.read", params, READY_MS).then((answer) => {
			response = answer;
			stretch.heardMs = performance.now();
			if (answer !== null && "result" in answer) this.learn(answer.result);
		});
		for (;;) {
			const failed = failureIn(response);
			if (failed?.code === RPC_ERROR.noWindow) return "gone";
			if (failed !== null) return failed.code === RPC_ERROR.busy ? "busy" : failed;
			if (isOver() || stretch.frames <= 0 || this.firstHole() === null) return "sent";
			// The answer may be lost, and the frames come all the same.
			const hasBegun = response !== null || stretch.frames < frames;
			const patienceMs = hasBegun ? SILENT_MS : READY_MS;
			if (performance.now() - stretch.heardMs > patienceMs) return "sent";
			await pause(LOOK_MS);
		}
	}

	private learn(told: unknown): void {
		const facts = factsSchema.safeParse(told);
		if (!facts.success) return;
		const { total, crc } = facts.data;
		if (this.whole?.total === total && this.whole.crc === crc) return;
		this.whole = { total, crc };
		this.bytes = new Uint8Array(total);
		this.got.clear();
	}

	private hear(payload: Buffer, onBytes: (count: number) => void): void {
		const { stretch } = this;
		try {
			const { transfer, seq, offset, total, crc, bytes } = decodeWindowPart(payload);
			if (stretch === null || transfer !== stretch.transfer || seq !== this.seq) return;
			onBytes(payload.length);
			this.learn({ total, crc });
			this.bytes.set(bytes, offset);
			this.got.set(offset, Math.max(bytes.length, this.got.get(offset) ?? 0));
			stretch.frames -= 1;
			stretch.heardMs = performance.now();
		} catch (error) {
			if (!(error instanceof BadBytes)) throw error;
		}
	}

	/** The first bytes that have not come; null when all have. */
	private firstHole(): Hole | null {
		const { whole, got } = this;
		if (whole === null) return { from: 0, to: CREDIT_MAX * BYTES_A_FRAME };
		let from = 0;
		for (const [offset, length] of [...got].sort(([a], [b]) => a - b)) {
			if (offset > from) return { from, to: offset };
			from = Math.max(from, offset + length);
		}
		return from >= whole.total ? null : { from, to: whole.total };
	}

	private finish(): WindowEnd {
		if (crc32(this.bytes) === this.whole?.crc) return "done";
		const found = `a window of record ${this.seq} whose CRC is wrong`;
		const allowed = "the bytes that were told";
		return { code: null, message: describeProblem({ file: "window.read", found, allowed }) };
	}
}

interface Hole {
	readonly from: number;
	readonly to: number;
}

/** What the answer and each frame tell of the whole. */
const factsSchema = z.object({ total: z.int().min(1).max(WINDOW_BYTES_MAX), crc: z.int().min(0) });

const failureIn = (response: LinkResponse | null): WindowFailure | null =>
	response !== null && "error" in response ? response.error : null;

const pause = (ms: number) => new Promise<void>((resolve) => setTimeout(resolve, ms));
