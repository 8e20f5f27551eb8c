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
	  };

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
	/** Number of the main transfer; repeats have the next three. One begun anew replaces its like. */
	readonly transfer: number;
}

/** Frames that may be under way: at 115,200 baud two seconds of them, more than any way takes. */
const CREDIT = 64;
/** Credit is renewed when so much of it is left. */
const CREDIT_LOW = 32;
/** Batches that wait for a hole before them: at most some 130 kB. */
const HELD_MAX = 256;
/** With so many waiting nothing new is asked for. */
const HELD_MANY = 160;
const REPEATS_MAX = 3;
const REPEAT_FRAMES = 16;
/** Batches that a repeat may bring a second time, where there are more holes than repeats. */
const REPEAT_HELD_MAX = 3;
/** A line that has said nothing for so long has lost the question or the answer, ms. */
const SILENT_MS = 1_500;
/** The same for a repeat: at first, and at the least and most. */
const REPEAT_MS = { first: 2_000, min: 300, max: 10_000 };
/** Patience grows by it with each repeat that was in vain, up to that much. */
const BACKOFF = { by: 2, max: 8 };

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
	private readonly firstTransfer: number;
	private main: Main;
	/** Smoothed time from a question to its answer, and how much it varies, ms. */
	private answerMs: number | null = null;
	private answerVaries = 0;
	private backoff = 1;
	/** Records of a batch, smoothed. */
	private batchRecords = 1;
	private again: Transfer[] = [];
	/** By first number, not overlapping what was handed on. */
	private held: B[] = [];
	private asks: Ask[] = [];

	constructor({ from, to, transfer }: Wanted, nowMs: number) {
		this.nextSeq = from;
		this.to = to;
		this.firstTransfer = transfer;
		this.main = this.start(from, nowMs);
	}

	get isDone(): boolean {
		return this.to !== null && this.nextSeq > this.to;
	}

	get mainTransfer(): number {
		return this.firstTransfer;
	}

	/** Whether frames of that transfer may be of this log. */
	knows(transfer: number): boolean {
		return transfer >= this.firstTransfer && transfer <= this.firstTransfer + REPEATS_MAX;
	}

	/** On another line, whose other end knows of no transfer. What has come stays. */
	resume(nowMs: number): void {
		this.again = [];
		this.asks = [];
		this.main = this.start(this.main.expected, nowMs);
		this.decide(nowMs);
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
		const records = batch.toSeq - batch.fromSeq + 1;
		this.batchRecords += (records - this.batchRecords) / 8;
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

	/** The server has taken a question in; what it brings follows. */
	answered(transfer: number, tookMs: number, nowMs: number): void {
		const { answerMs } = this;
		this.backoff = 1;
		// Smoothed as in RFC 6298, section 2.
		if (answerMs === null) {
			this.answerMs = tookMs;
			this.answerVaries = tookMs / 2;
		} else {
			this.answerVaries += (Math.abs(tookMs - answerMs) - this.answerVaries) / 4;
			this.answerMs = answerMs + (tookMs - answerMs) / 8;
		}
		const repeat = this.again.find(({ id }) => id === transfer);
		if (repeat !== undefined) repeat.heardMs = nowMs;
	}

	/** The time goes on: called a few times a second. */
	look(nowMs: number): void {
		const { main } = this;
		const patienceMs = this.repeatMs();
		const waiting = this.again.filter(({ heardMs }) => nowMs - heardMs <= patienceMs);
		// What it was to bring may only be late: asking ever sooner would clog the line.
		if (waiting.length < this.again.length) {
			this.backoff = Math.min(BACKOFF.max, this.backoff * BACKOFF.by);
		}
		this.again = waiting;
		const isOver = this.to !== null && main.expected > this.to;
		const isLevel = this.to === null && main.expected > this.durableSeq;
		if (nowMs - main.heardMs > SILENT_MS && !isOver && !isLevel && this.hasRoom()) {
			this.main = this.start(main.expected, nowMs);
		}
		this.decide(nowMs);
	}

	private repeatMs(): number {
		const { first, min, max } = REPEAT_MS;
		if (this.answerMs === null) return first;
		const usualMs = 2 * this.answerMs + 4 * this.answerVaries;
		return Math.min(max, this.backoff * Math.max(min, usualMs));
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
		const end = this.main.expected - 1;
		for (let from = this.nextSeq; this.again.length < REPEATS_MAX; ) {
			const hole = this.firstHole(from, end);
			if (hole === null) break;
			from = hole.toSeq + 1;
			if (this.again.some((repeat) => covers(repeat, hole))) continue;
			const isLast = this.again.length === REPEATS_MAX - 1;
			const toSeq = isLast ? this.lastHoleNear(hole, end) : hole.toSeq;
			from = toSeq + 1;
			this.repeat({ fromSeq: hole.fromSeq, toSeq }, nowMs);
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

	/** The end of the last hole for which not too much comes a second time. */
	private lastHoleNear({ fromSeq, toSeq }: Span, end: number): number {
		const between = (to: number) =>
			this.held.filter((batch) => batch.fromSeq > fromSeq && batch.toSeq <= to).length;
		let last = toSeq;
		for (let next = this.firstHole(toSeq + 1, end); next !== null; ) {
			if (between(next.fromSeq) > REPEAT_HELD_MAX) break;
			last = next.toSeq;
			next = this.firstHole(last + 1, end);
		}
		return last;
	}

	private repeat({ fromSeq, toSeq }: Span, nowMs: number): void {
		const { firstTransfer, again } = this;
		let id = firstTransfer + 1;
		while (again.some((repeat) => repeat.id === id)) id += 1;
		again.push({ id, from: fromSeq, to: toSeq, heardMs: nowMs });
		this.repeats += 1;
		// One more, since it is cut into batches anew.
		const needed = Math.ceil((toSeq - fromSeq + 1) / this.batchRecords) + 1;
		const frames = Math.min(REPEAT_FRAMES, needed);
		const params = { transfer: id, from: fromSeq, to: toSeq, frames };
		this.asks.push({ method: "log.read", params });
	}

	private start(from: number, nowMs: number): Main {
		const { to, firstTransfer: id } = this;
		const end = to === null ? { follow: true } : { to };
		const params = { transfer: id, from, frames: CREDIT, ...end };
		this.asks.push({ method: "log.read", params });
		return { id, from, to, heardMs: nowMs, expected: from, credit: CREDIT, hasEnded: false };
	}

	private hasRoom(): boolean {
		return this.held.length < HELD_MANY;
	}
}

const covers = ({ from, to }: Transfer, { fromSeq, toSeq }: Span) =>
	from <= fromSeq && (to === null || to >= toSeq);
