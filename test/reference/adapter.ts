// What answers a reference row: functions of the project behind the rows' own names of inputs and
// expected fields. Types only; the table itself is adapters.ts.

/** Inputs of a row as its file gives them: numbers, lists of numbers, words. */
export type Inputs = Readonly<Record<string, unknown>>;

export type Answer = (inputs: Inputs) => unknown;

/** Fields of one kind, whose names carry a number: the match tells it. */
export interface PatternAnswer {
	readonly field: RegExp;
	readonly answer: (inputs: Inputs, match: RegExpExecArray) => unknown;
}

/** One function of ours for the rows of a group. */
export interface Adapter {
	/** The number that the rows' topics begin with. */
	readonly group: number;
	/** Inputs without which it cannot answer; `a|b` asks for one of both. Others are optional. */
	readonly needs: readonly string[];
	/** Where several could answer, the one whose words the topic has goes first. */
	readonly topic?: RegExp;
	/**
	 * Expected field -> what the function finds, in the field's own shape. An undefined answer leaves
	 * the field to the next adapter. A field inside another is `outer.inner`, or just `inner`.
	 */
	readonly answers: Readonly<Record<string, Answer>>;
	readonly patterns?: readonly PatternAnswer[];
}

/** In place of a value that is not to be compared, and why. */
export class LeftOut {
	readonly why: string;

	constructor(why: string) {
		this.why = why;
	}
}
