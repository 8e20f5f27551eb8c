// Prints an account on the terminal, each line in the colour of its mark; `NO_COLOR` is honoured by
// picocolors. Nothing is told by colour alone.

import pc from "picocolors";
import type { Mark, Marked } from "../report/bench-account.ts";

const plain = (text: string) => text;
const paint: Record<Mark, (text: string) => string> = {
	title: pc.bold,
	heading: pc.bold,
	plain,
	trip: pc.red,
	held: plain,
	broken: pc.red,
};

export function printMarked(lines: readonly Marked[]): void {
	for (const { mark, text } of lines) process.stdout.write(`${paint[mark](text)}\n`);
}
