// Commands from the link on their way to a tick, and the answers that they wait for. An answer is
// given only when the records say so: accepted means that it is durable and in effect. A command's
// id is its idempotency key: whoever asks again for want of an answer starts nothing twice.

import type { Command } from "../cycle/commands.ts";
import type { LogRecord } from "../log/record.ts";
import { DECISIONS_KEPT } from "../log/recovery.ts";
import type { Decision } from "./protocol.ts";

interface Open {
	readonly command: Command;
	readonly answer: (decision: Decision) => void;
}

/** What has become of an id: the decision, or the promise of one. */
interface Known {
	/** Null where a refusal's record does not say what was asked. */
	readonly type: Command["type"] | null;
	readonly decision: Decision | Promise<Decision>;
}

const ACCEPTED: Decision = { accepted: true, reasons: [] };
const refused = (reasons: readonly string[]): Decision => ({
	accepted: false,
	reasons: fitting(reasons),
});

/** Of the reasons as JSON: an answer that fits no frame would tell none of them. */
const REASONS_BYTES_MAX = 800;
const REASON_LENGTH_MAX = 200;

/** The first ones, as many as an answer holds; the log has them all. */
function fitting(reasons: readonly string[]): string[] {
	const told: string[] = [];
	let bytes = 0;
	for (const reason of reasons) {
		const words = reason.slice(0, REASON_LENGTH_MAX);
		bytes += Buffer.byteLength(JSON.stringify(words)) + 1;
		if (bytes > REASONS_BYTES_MAX) return [...told, `and ${reasons.length - told.length} more`];
		told.push(words);
	}
	return told;
}

export class Decisions {
	private incoming: Command[] = [];
	private open: Open[] = [];
	/** Decided, and waiting for their record to be durable. */
	private decided: Array<{ seq: number; answer: Open["answer"] }> = [];
	private readonly known: Map<string, Known>;

	/** @param history records of earlier boots, but for samples */
	constructor(history: readonly LogRecord[] = []) {
		this.known = knownFrom(history);
	}

	/**
	 * Hands a command to the next tick. One with an id that was there before is not handed on: it
	 * gets the decision of the first, over a restart too. A stop is never held back for that.
	 */
	submit(command: Command): Promise<Decision> {
		const { id, type } = command;
		if (type === "stop") return this.handOn(command);
		const known = this.known.get(id);
		if (known !== undefined) {
			const isOther = known.type !== null && known.type !== type;
			if (isOther) return Promise.resolve(refused([`its id was a ${known.type}'s already`]));
			return Promise.resolve(known.decision);
		}
		const decision = this.handOn(command);
		this.known.set(id, { type, decision });
		if (this.known.size > DECISIONS_KEPT) this.forgetOne();
		void decision.then((made) => {
			const kept = this.known.get(id);
			if (kept !== undefined) this.known.set(id, { ...kept, decision: made });
		});
		return decision;
	}

	private handOn(command: Command): Promise<Decision> {
		this.incoming.push(command);
		return new Promise((answer) => this.open.push({ command, answer }));
	}

	/** The oldest one that has begun nothing: to ask it again is to ask anew. */
	private forgetOne(): void {
		for (const [id, { type, decision }] of this.known) {
			if (decision instanceof Promise || (isWork(type) && decision.accepted)) continue;
			this.known.delete(id);
			return;
		}
	}

	/** What the next tick takes. */
	take(): readonly Command[] {
		const taken = this.incoming;
		if (taken.length > 0) this.incoming = [];
		return taken;
	}

	/** Looks through a tick's records for answers. @param durableSeq what the store has by now */
	watch(records: readonly LogRecord[], durableSeq: number): void {
		for (const record of records) {
			this.open = this.open.filter(({ command, answer }) => {
				const decision = decide(command, record);
				if (decision === null) return true;
				// A stop has acted already and a refusal promises nothing: both are told at once.
				const promise = decision.accepted && command.type !== "stop";
				if (promise) this.decided.push({ seq: record.seq, answer });
				else answer(decision);
				return false;
			});
		}
		if (this.decided.length === 0) return;
		for (const { seq, answer } of this.decided) if (seq <= durableSeq) answer(ACCEPTED);
		this.decided = this.decided.filter(({ seq }) => seq > durableSeq);
	}

	/** The log is gone: whoever waits is told so. */
	fail(why: string): void {
		for (const { answer } of this.open) answer(refused([why]));
		for (const { answer } of this.decided) answer(refused([why]));
		this.open = [];
		this.decided = [];
	}
}

const isWork = (type: Known["type"]) =>
	type === "polish" || type === "transfer" || type === "sweep" || type === "plan";

/** Decisions as the records of earlier boots tell them. What was not decided never began. */
function knownFrom(history: readonly LogRecord[]): Map<string, Known> {
	const known = new Map<string, Known>();
	const open = new Set<string>();
	const ask = (id: string, type: Known["type"]) => {
		if (known.has(id)) return;
		known.set(id, { type, decision: refused([NOT_BEGUN]) });
		open.add(id);
	};
	const decide = (id: string, type: Known["type"], decision: Decision) => {
		const before = known.get(id);
		// A plan's order has the plan's id: what was decided of the plan stays.
		if (before !== undefined && !open.has(id)) return;
		known.set(id, { type: before?.type ?? type, decision });
		open.delete(id);
	};
	for (const record of history) {
		switch (record.kind) {
			case "order":
				ask(record.order.id, record.order.work);
				break;
			case "run-begin":
				decide(record.order.id, record.order.work, ACCEPTED);
				break;
			case "acknowledge":
				if (record.from === "link") ask(record.id, "acknowledge");
				break;
			case "acknowledged":
				if (record.from === "link") decide(record.id, "acknowledge", ACCEPTED);
				break;
			case "order-refused":
			case "plan-refused":
			case "acknowledge-refused":
			case "proof-refused":
				decide(record.id, null, refused(record.reasons));
				break;
			case "planned":
				decide(record.id, "plan", ACCEPTED);
				break;
			case "plan-ended":
				if (record.outcome === "cancelled") decide(record.by, "cancel-plan", ACCEPTED);
				break;
			case "clock":
				decide(record.id, "set-clock", ACCEPTED);
				break;
			case "drained":
				decide(record.id, "note-drained", ACCEPTED);
				break;
			case "proof-begun":
				decide(record.id, "prove-begin", ACCEPTED);
				break;
			case "proof-answer":
				decide(record.id, "prove-answer", ACCEPTED);
				break;
			case "proof":
				if (record.endedBy !== null) decide(record.endedBy, "prove-end", ACCEPTED);
				break;
			case "part-changed":
				decide(record.id, "change-part", ACCEPTED);
				break;
			case "fill-struck":
				decide(record.id, "strike-fill", ACCEPTED);
				break;
		}
	}
	return known;
}

const NOT_BEGUN = "the controller restarted before it began";

/** What this record says about that command; null when nothing. */
function decide(command: Command, record: LogRecord): Decision | null {
	switch (command.type) {
		case "polish":
		case "transfer":
		case "sweep":
			if (record.kind === "run-begin" && record.order.id === command.id) return ACCEPTED;
			return record.kind === "order-refused" && record.id === command.id
				? refused(record.reasons)
				: null;
		case "plan":
			if (record.kind === "planned" && record.id === command.id) return ACCEPTED;
			return planRefusal(command, record);
		case "cancel-plan":
			if (record.kind === "plan-ended" && record.by === command.id) return ACCEPTED;
			return planRefusal(command, record);
		case "set-clock":
			return record.kind === "clock" && record.id === command.id ? ACCEPTED : null;
		case "stop":
			return record.kind === "stop" && record.by === command.id ? ACCEPTED : null;
		case "acknowledge":
			if (record.kind === "acknowledged" && record.id === command.id) return ACCEPTED;
			return record.kind === "acknowledge-refused" && record.id === command.id
				? refused(record.reasons)
				: null;
		case "note-drained":
			return record.kind === "drained" && record.id === command.id ? ACCEPTED : null;
		case "prove-begin":
		case "prove-answer":
		case "change-part":
		case "strike-fill":
			if (record.kind === PROVEN_BY[command.type] && record.id === command.id) return ACCEPTED;
			return proofRefusal(command, record);
		case "prove-end":
			if (record.kind === "proof" && record.endedBy === command.id) return ACCEPTED;
			return proofRefusal(command, record);
	}
}

/** The records that say that they have been taken. */
const PROVEN_BY = {
	"prove-begin": "proof-begun",
	"prove-answer": "proof-answer",
	"change-part": "part-changed",
	"strike-fill": "fill-struck",
} as const;

function proofRefusal({ id }: Command, record: LogRecord): Decision | null {
	return record.kind === "proof-refused" && record.id === id ? refused(record.reasons) : null;
}

function planRefusal({ id }: Command, record: LogRecord): Decision | null {
	return record.kind === "plan-refused" && record.id === id ? refused(record.reasons) : null;
}
