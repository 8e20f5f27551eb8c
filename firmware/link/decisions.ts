// Commands from the link on their way to a tick, and the answers that they wait for. An answer is
// given only when the records say so: accepted means that it is durable and in effect.

import type { Command } from "../cycle/orders.ts";
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

	/** Looks through a tick's records for answers. */
	watch(records: readonly LogRecord[]): void {
		if (this.open.length === 0) return;
		for (const record of records) {
			this.open = this.open.filter(({ command, answer }) => {
				const decision = decide(command, record);
				if (decision !== null) answer(decision);
				return decision === null;
			});
		}
	}
}

/** What this record says about that command; null when nothing. */
function decide(command: Command, record: LogRecord): Decision | null {
	switch (command.type) {
		case "polish":
			if (record.kind === "run-begin" && record.order.id === command.id) return ACCEPTED;
			if (record.kind === "order-refused" && record.id === command.id) {
				return refused(record.reasons);
			}
			// A trip or a stop while the order waited for its record took it away.
			return record.kind === "stop" ? refused(["a stop came first"]) : null;
		case "stop":
			return record.kind === "stop" && record.by === command.id ? ACCEPTED : null;
		case "acknowledge":
			if (record.kind === "acknowledged") return ACCEPTED;
			return record.kind === "acknowledge-refused" ? refused(record.reasons) : null;
		case "note-drained":
			return record.kind === "drained" ? ACCEPTED : null;
	}
}
