// Which parts of the log one client has asked for, how far each has come, and how many frames it
// may still get without asking again. Pure: what is sent, and when, is the session's business.

import type { EncodedBatch } from "./batch.ts";
import { CREDIT_MAX, type LogPause, type Params, TRANSFERS_MAX } from "./protocol.ts";

export interface Transfer {
	readonly transfer: number;
	/** The last record that is asked for. */
	readonly to: number;
	/** Waits for records that are not durable yet instead of ending. */
	readonly follows: boolean;
	nextSeq: number;
	/** Within a record too large for one frame. */
	nextOffset: number;
	credit: number;
}

/** Why a transfer sends nothing more by itself. */
export type Pause = LogPause["why"];

export class Transfers {
	/** The newest last. */
	private open: Transfer[] = [];

	/** @returns false when there are as many as may be; one of the same number is begun anew */
	begin({ transfer, from, to, frames, follow }: Params<"log.read">): boolean {
		const others = this.open.filter((one) => one.transfer !== transfer);
		if (others.length >= TRANSFERS_MAX) return false;
		this.open = others;
		this.open.push({
			transfer,
			to: to ?? Number.MAX_SAFE_INTEGER,
			follows: follow ?? false,
			nextSeq: from,
			nextOffset: 0,
			credit: frames,
		});
		return true;
	}

	/** @returns the transfer, or null when there is none of that number */
	addCredit({ transfer, frames }: Params<"log.more">): Transfer | null {
		const found = this.open.find((one) => one.transfer === transfer) ?? null;
		if (found !== null) found.credit = Math.min(CREDIT_MAX, found.credit + frames);
		return found;
	}

	/** @returns whether there was one */
	end(transfer: number): boolean {
		const before = this.open.length;
		this.open = this.open.filter((one) => one.transfer !== transfer);
		return this.open.length < before;
	}

	/** Still asked for: neither ended nor begun anew. */
	has(transfer: Transfer): boolean {
		return this.open.includes(transfer);
	}

	clear(): void {
		this.open = [];
	}

	/** Takes out those that have sent all there is for them. */
	takeEnded(durableSeq: number): Transfer[] {
		if (this.open.length === 0) return this.open;
		const isEnded = ({ nextSeq, to, follows }: Transfer) =>
			nextSeq > to || (!follows && nextSeq > durableSeq);
		const ended = this.open.filter(isEnded);
		if (ended.length > 0) this.open = this.open.filter((one) => !isEnded(one));
		return ended;
	}

	/** Whose turn it is: the newest that has credit and a durable record to send; null when none. */
	next(durableSeq: number): Transfer | null {
		for (let i = this.open.length - 1; i >= 0; i -= 1) {
			const one = this.open[i];
			if (one !== undefined && one.credit > 0 && one.nextSeq <= durableSeq) return one;
		}
		return null;
	}

	/** One frame of it has gone out. */
	advance(transfer: Transfer, { nextSeq, nextOffset }: EncodedBatch): void {
		transfer.nextSeq = nextSeq;
		transfer.nextOffset = nextOffset;
		transfer.credit -= 1;
	}
}
