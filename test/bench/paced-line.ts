// A line in memory that carries bytes at the pace of a serial one, both ways at once, in real time,
// and may lose frames. It notes what each log frame brings on its way. Node's timers and streams.

import { Duplex } from "node:stream";
import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { decodeLogPayload, isLogPayload } from "../../firmware/link/batch.ts";
import { FrameReader } from "../../firmware/link/framing.ts";
import type { LinkSession, Line as ServerLine } from "../../firmware/link/session.ts";

/** 115,200 baud, ten bits a byte. */
export const BYTES_PER_SECOND = 11_520;
const STEP_MS = 4;

/** Raw bytes that came out of the server, by what they were. */
export interface WireCounts {
	/** Of log frames whose records had not passed before, by their share of new ones. */
	fresh: number;
	/** Of log frames whose records had passed, and of lost frames. */
	again: number;
	lost: number;
	/** Of answers and notices. */
	json: number;
	frames: number;
	framesLost: number;
	/** Of log frames: what is not deflated records. */
	heads: number;
	escapes: number;
	/** END and CRC. */
	seals: number;
}

/** Transfer, numbers and chain before a batch's deflated body: 1 + 4 + 3 + 3 + 16 at the most. */
const CHAIN_BYTES = 16;

export class PacedLine {
	readonly counts: WireCounts = {
		...{ fresh: 0, again: 0, lost: 0, json: 0, frames: 0, framesLost: 0 },
		...{ heads: 0, escapes: 0, seals: 0 },
	};
	/** The client's end. */
	readonly stream: Duplex;
	private readonly lostShare: number;
	private readonly dice = xoroshiro128plus(2);
	private readonly seen = new Set<number>();
	private readonly down: Buffer[] = [];
	private readonly up: Buffer[] = [];
	private downBytes = 0;
	private credit = { down: 0, up: 0 };
	private steppedMs = performance.now();
	private session: LinkSession | null = null;
	private readonly timer = setInterval(() => this.step(), STEP_MS);

	/** @param lostShare of the server's frames */
	constructor(lostShare: number) {
		this.lostShare = lostShare;
		const up = this.up;
		this.stream = new Duplex({
			read: () => {},
			write: (bytes: Buffer, _, done) => {
				up.push(bytes);
				done();
			},
		});
	}

	/** The server's end. */
	readonly serverLine: ServerLine = {
		write: (bytes) => {
			this.down.push(bytes);
			this.downBytes += bytes.length;
		},
		waiting: () => this.downBytes,
		drop: () => {},
	};

	attach(session: LinkSession): void {
		this.session = session;
	}

	close(): void {
		clearInterval(this.timer);
	}

	/** Lets pass what the time since the last step lets pass: whole frames, as they end. */
	private step(): void {
		const nowMs = performance.now();
		const room = ((nowMs - this.steppedMs) / 1000) * BYTES_PER_SECOND;
		this.steppedMs = nowMs;
		const { credit, down, up } = this;
		// An idle line saves nothing up.
		credit.down = down.length === 0 ? 0 : credit.down + room;
		credit.up = up.length === 0 ? 0 : credit.up + room;
		for (let first = down[0]; first !== undefined; first = down[0]) {
			if (first.length > credit.down) break;
			credit.down -= first.length;
			this.downBytes -= first.length;
			down.shift();
			this.pass(first);
		}
		for (let first = up[0]; first !== undefined && first.length <= credit.up; first = up[0]) {
			credit.up -= first.length;
			up.shift();
			this.session?.push(first);
		}
		this.session?.serve();
	}

	private pass(raw: Buffer): void {
		const { counts } = this;
		const isLost = uniformFloat64(this.dice) < this.lostShare;
		counts.frames += 1;
		if (isLost) {
			counts.lost += raw.length;
			counts.framesLost += 1;
			return;
		}
		this.note(raw);
		this.stream.push(raw);
	}

	private note(raw: Buffer): void {
		const { counts, seen } = this;
		let payload: Buffer | null = null;
		new FrameReader((found) => {
			payload = found;
		}).push(raw);
		if (payload === null || !isLogPayload(payload)) {
			counts.json += raw.length;
			return;
		}
		const frame = decodeLogPayload(payload);
		const bytes: Uint8Array = payload;
		counts.seals += 6;
		counts.escapes += raw.length - bytes.length - 6;
		if (frame.type === "part") {
			counts.fresh += raw.length;
			return;
		}
		counts.heads += CHAIN_BYTES + varintBytes(frame.transfer, frame.fromSeq, frame.toSeq) + 1;
		let fresh = 0;
		for (let seq = frame.fromSeq; seq <= frame.toSeq; seq += 1) {
			if (seen.has(seq)) continue;
			seen.add(seq);
			fresh += 1;
		}
		const share = fresh / (frame.toSeq - frame.fromSeq + 1);
		counts.fresh += share * raw.length;
		counts.again += (1 - share) * raw.length;
	}
}

const varintBytes = (...values: number[]): number =>
	values.reduce((sum, value) => sum + Math.max(1, Math.ceil(Math.log2(value + 1) / 7)), 0);
