// Decides what to ask for while a stretch of a log comes over a line that loses frames: credit kept
// ahead so that the line never idles, holes asked for again by a transfer of their own, batches in
// any order put into order. Pure: time is an argument, requests are data; fetching.ts sends them.

/** Numbers of the first and the last record of a batch. */
export interface Span {
	readonly fromSeq: number;
	readonly toSeq: number;
}

export type Ask =
	| {
			readonly method: "log.read";
			readonly params: {
				readonly transfer: number;
				readonly from: number;
				readonly to?: number;
				readonly frames: number;
				readonly follow?: boolean;
			};
	  }
	| {
			readonly method: "log.more";
			readonly params: { readonly transfer: number; readonly frames: number };
	  }
	| { readonly method: "log.cancel"; readonly params: { readonly transfer: number } };

/** Why the server has fallen silent. */
export interface Pause {
	readonly transfer: number;
	readonly nextSeq: number;
	readonly durableSeq: number;
	readonly why: "credit" | "end";
}

export interface Wanted {
	readonly from: number;
	/** The last record wanted; null goes on for ever. */
	readonly to: number | null;
	/** Number of the first transfer; later ones count on from it. */
	readonly transfer: number;
}

/** Frames that may be under way: at 115,200 baud two seconds of them, more than any way takes. */
const CREDIT = 48;
/** Credit is renewed when so much of it is left. */
const CREDIT_LOW = 32;
/** Batches that wait for a hole before them: at most some 130 kB. */
const HELD_MAX = 256;
/** With so many waiting nothing new is asked for. */
const HELD_MANY = 160;
const REPEATS_MAX = 3;
const REPEAT_FRAMES = 16;
/** A line that has said nothing for so long has lost the question or the answer, ms. */
const SILENT_MS = 1_500;
const REPEAT_MS = 2_000;

interface Transfer {
	readonly id: number;
	readonly from: number;
	readonly to: number | null;
	/** Since it was asked for, or since its last frame, ms. */
	heardMs: number;
}

interface Main extends Transfer {
	/** What its next frame begins with, when none is lost. */
	expected: number;
	/** Frames that the server may still send. Never less than it has: what is lost is not seen. */
	credit: number;
	hasEnded: boolean;
}

export class Fetch<B extends Span> {
	/** The first record that has not been handed on. */
	nextSeq: number;
	/** What the server has, as far as it has said. */
	durableSeq = 0;
	/** Stretches that were asked for again. */
	repeats = 0;
	/** Batches that came although they had come before. */
	duplicates = 0;
	private readonly to: number | null;
	private nextTransfer: number;
	private main: Main;
	private again: Transfer[] = [];
	/** By first number, not overlapping what was handed on. */
	private held: B[] = [];
	private asks: Ask[] = [];

	constructor({ from, to, transfer }: Wanted, nowMs: number) {
		this.nextSeq = from;
		this.to = to;
		this.nextTransfer = transfer;
		this.main = this.start(from, nowMs);
	}

	get isDone(): boolean {
		return this.to !== null && this.nextSeq > this.to;
	}

	/** Transfers that the server may still be sending for. */
	open(): number[] {
		const { main } = this;
		const isOver = main.hasEnded || this.isDone;
		return [...(isOver ? [] : [main.id]), ...this.again.map(({ id }) => id)];
	}

	/** What is to be sent now. */
	takeAsks(): Ask[] {
		const asks = this.asks;
		this.asks = [];
		return asks;
	}

	/** What has become complete, in order. */
	takeReady(): B[] {
		const ready: B[] = [];
		for (;;) {
			const next = this.held.findIndex(
				({ fromSeq, toSeq }) => fromSeq <= this.nextSeq && toSeq >= this.nextSeq,
			);
			const [batch] = next < 0 ? [] : this.held.splice(next, 1);
			if (batch === undefined) break;
			ready.push(batch);
			this.nextSeq = batch.toSeq + 1;
		}
		if (ready.length > 0) this.held = this.held.filter(({ toSeq }) => toSeq >= this.nextSeq);
		return ready;
	}

	/** A whole batch. */
	take(transfer: number, batch: B, nowMs: number): void {
		this.pass(transfer, batch.toSeq + 1, batch.fromSeq, nowMs);
		const has = this.held.some(
			({ fromSeq, toSeq }) => fromSeq <= batch.fromSeq && toSeq >= batch.toSeq,
		);
		if (batch.toSeq < this.nextSeq || has) this.duplicates += 1;
		else if (this.held.length < HELD_MAX || batch.fromSeq <= this.nextSeq) this.held.push(batch);
		this.decide(nowMs);
	}

	/** A piece of a record that is not complete yet. */
	takePart(transfer: number, seq: number, nowMs: number): void {
		this.pass(transfer, seq, seq, nowMs);
		this.decide(nowMs);
	}

	pause({ transfer, nextSeq, durableSeq, why }: Pause, nowMs: number): void {
		this.durableSeq = Math.max(this.durableSeq, durableSeq);
		const { main } = this;
		main.heardMs = nowMs;
		if (transfer === main.id) {
			main.expected = Math.max(main.expected, nextSeq);
			main.credit = 0;
			main.hasEnded = why === "end";
		} else {
			// Whatever it did not bring shows as a hole and is asked for anew.
			this.again = this.again.filter(({ id }) => id !== transfer);
		}
		this.decide(nowMs);
	}

	/** The server has said what it has. */
	learn(durableSeq: number): void {
		this.durableSeq = Math.max(this.durableSeq, durableSeq);
	}

	/** The time goes on: called a few times a second. */
	look(nowMs: number): void {
		const { main } = this;
		const lost = this.again.filter(({ heardMs }) => nowMs - heardMs > REPEAT_MS);
		for (const { id } of lost) this.cancel(id);
		this.again = this.again.filter((transfer) => !lost.includes(transfer));
		const isOver = this.to !== null && main.expected > this.to;
		const isLevel = this.to === null && main.expected > this.durableSeq;
		if (nowMs - main.heardMs > SILENT_MS && !isOver && !isLevel && this.hasRoom()) {
			if (!main.hasEnded) this.cancel(main.id);
			this.main = this.start(main.expected, nowMs);
		}
		this.decide(nowMs);
	}

	/** Notes that a frame has come by, and what it shows to be lost. */
	private pass(transfer: number, after: number, fromSeq: number, nowMs: number): void {
		const { main } = this;
		main.heardMs = nowMs;
		if (transfer === main.id) {
			// One lost frame at the least stands between what was expected and what came.
			const spent = fromSeq > main.expected ? 2 : 1;
			main.credit = Math.max(0, main.credit - spent);
			main.expected = Math.max(main.expected, after);
			return;
		}
		const repeat = this.again.find(({ id }) => id === transfer);
		if (repeat !== undefined) repeat.heardMs = nowMs;
	}

	private decide(nowMs: number): void {
		this.again = this.again.filter(({ from, to }) => this.firstHole(from, to ?? from) !== null);
		for (let from = this.nextSeq; this.again.length < REPEATS_MAX; ) {
			const hole = this.firstHole(from, this.main.expected - 1);
			if (hole === null) break;
			from = hole.toSeq + 1;
			if (this.again.some((repeat) => covers(repeat, hole))) continue;
			this.repeat(hole, nowMs);
		}
		const { main } = this;
		if (main.hasEnded || main.credit > CREDIT_LOW || !this.hasRoom()) return;
		if (this.to !== null && main.expected > this.to) return;
		const frames = CREDIT - main.credit;
		this.asks.push({ method: "log.more", params: { transfer: main.id, frames } });
		main.credit = CREDIT;
	}

	/** The first stretch from `from` to `to` that neither was handed on nor waits. */
	private firstHole(from: number, to: number): Span | null {
		let seq = Math.max(from, this.nextSeq);
		for (;;) {
			const held = this.held.find(({ fromSeq, toSeq }) => fromSeq <= seq && toSeq >= seq);
			if (held === undefined) break;
			seq = held.toSeq + 1;
		}
		if (seq > to) return null;
		let end = to;
		for (const { fromSeq } of this.held) if (fromSeq > seq) end = Math.min(end, fromSeq - 1);
		return { fromSeq: seq, toSeq: end };
	}

	private repeat({ fromSeq, toSeq }: Span, nowMs: number): void {
		const id = this.number();
		this.again.push({ id, from: fromSeq, to: toSeq, heardMs: nowMs });
		this.repeats += 1;
		const params = { transfer: id, from: fromSeq, to: toSeq, frames: REPEAT_FRAMES };
		this.asks.push({ method: "log.read", params });
	}

	private start(from: number, nowMs: number): Main {
		const id = this.number();
		const { to } = this;
		const end = to === null ? { follow: true } : { to };
		const params = { transfer: id, from, frames: CREDIT, ...end };
		this.asks.push({ method: "log.read", params });
		return { id, from, to, heardMs: nowMs, expected: from, credit: CREDIT, hasEnded: false };
	}

	private cancel(transfer: number): void {
		this.asks.push({ method: "log.cancel", params: { transfer } });
	}

	private hasRoom(): boolean {
		return this.held.length < HELD_MANY;
	}

	private number(): number {
		const id = this.nextTransfer;
		this.nextTransfer += 1;
		return id;
	}
}

const covers = ({ from, to }: Transfer, { fromSeq, toSeq }: Span) =>
	from <= fromSeq && (to === null || to >= toSeq);
