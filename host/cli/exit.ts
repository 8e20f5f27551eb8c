// Exit statuses of every command, and the one place where an error becomes text. A bug keeps its
// stack; bad input never shows one.

import { InputError } from "../../firmware/config/input-error.ts";

export const EXIT = { good: 0, doesNotHold: 1, badInput: 2 } as const;

/** Prints what is wrong with the input, without a stack, and gives the status. */
export function reportFailure(error: unknown): number {
	if (error instanceof InputError) {
		process.stderr.write(`${error.message}\n`);
		return EXIT.badInput;
	}
	throw error;
}
