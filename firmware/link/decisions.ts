// Commands from the link on their way to a tick, and the answers that they wait for. An answer is
// given only when the records say so: accepted means that it is durable and in effect.

import type { Command } from "../cycle/commands.ts";
import type { LogRecord } from "../log/record.ts";
import type { Decision } from "./protocol.ts";

interface Open {
	readonly command: Command;
	readonly answer: (decision: Decision) => void;
}

const ACCEPTED: Decision = { accepted: true, reasons: [] };
const refused = (reasons: readonly string[]): Decision => ({
	accepted: false,
	reasons: [...reasons],
});

export class Decisions {
	private incoming: Command[] = [];
	private open: Open[] = [];
	/** Decided, and waiting for their record to be durable. */
	private decided: Array<{ seq: number; answer: Open["answer"] }> = [];

	/** Hands a command to the next tick. */
	submit(command: Command): Promise<Decision> {
		this.incoming.push(command);
		return new Promise((answer) => this.open.push({ command, answer }));
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
	}
}

function planRefusal({ id }: Command, record: LogRecord): Decision | null {
	return record.kind === "plan-refused" && record.id === id ? refused(record.reasons) : null;
}
