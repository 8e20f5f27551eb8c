// Questions to the bench's controller, and what its records say to them. No answer within the time
// that one takes is one too. Pure.

import type { LogRecord } from "../../../firmware/log/record.ts";
import type { Answer } from "../scene.ts";

/** What is asked for by a record's kind: taken, or refused with reasons. */
const answersTo = {
	order: { taken: "order", refused: "order-refused" },
	acknowledge: { taken: "acknowledged", refused: "acknowledge-refused" },
	stop: { taken: "stop", refused: null },
} as const;

export type Question = keyof typeof answersTo;

/** Three seconds: the record of an order, of a stop or of an acknowledgement takes two ticks. */
const PATIENCE_TICKS = 30;

interface Open {
	readonly question: Question;
	readonly tell: (answer: Answer | null) => void;
	ticksLeft: number;
}

export class Answers {
	private open: Open[] = [];

	get areOpen(): boolean {
		return this.open.length > 0;
	}

	/** @param tell is given null where no answer comes */
	wait(question: Question, tell: Open["tell"]): void {
		this.open.push({ question, tell, ticksLeft: PATIENCE_TICKS });
	}

	/** After a tick, with what it wrote. */
	read(records: readonly LogRecord[]): void {
		if (this.open.length === 0) return;
		this.open = this.open.filter((one) => {
			const answer = answerIn(records, one.question);
			one.ticksLeft -= 1;
			if (answer === undefined && one.ticksLeft > 0) return true;
			one.tell(answer ?? null);
			return false;
		});
	}
}

function answerIn(records: readonly LogRecord[], question: Question): Answer | undefined {
	const { taken, refused } = answersTo[question];
	for (const record of records) {
		if (record.kind === taken) return { accepted: true, reasons: [] };
		if (record.kind === refused && "reasons" in record) {
			return { accepted: false, reasons: record.reasons };
		}
	}
	return undefined;
}
