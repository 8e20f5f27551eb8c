// The emulated board loses no byte of a line without faults: each question is answered, whatever
// the board is sending when it comes in.

import { expect, it } from "vitest";
import { AvrBoard, CYCLES_PER_MS } from "../../sim/emulated-board/avr-board.ts";

const BOOTED_MS = 2_000;
const QUESTIONS = 2_000;
/** Not a whole number of sent bytes: question and reports meet in all phases. */
const EVERY_CYCLES = 30_011;
const PIN_STATE_ANSWER = 0x6e;

it("answers two thousand questions for a pin's state amid reports", () => {
	const board = new AvrBoard();
	const sent: number[] = [];
	board.onByte = (byte) => sent.push(byte);
	board.runTo(BOOTED_MS * CYCLES_PER_MS);
	// Reports of four analog pins, every 10 ms.
	board.receive(Uint8Array.from([0xc0, 1, 0xc1, 1, 0xc2, 1, 0xc3, 1, 0xf0, 0x7a, 10, 0, 0xf7]));
	const from = (BOOTED_MS + 50) * CYCLES_PER_MS;
	for (let i = 0; i < QUESTIONS; i += 1) {
		board.runTo(from + i * EVERY_CYCLES);
		board.receive(Uint8Array.from([0xf0, 0x6d, 7, 0xf7]));
	}
	board.runTo(from + (QUESTIONS + 20) * EVERY_CYCLES);
	const answers = sent.filter((byte, i) => byte === PIN_STATE_ANSWER && sent[i - 1] === 0xf0);
	expect(answers).toHaveLength(QUESTIONS);
});
