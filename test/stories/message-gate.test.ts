// The gate in front of the Firmata io: whole messages pass, and where the line has lost a byte no
// message comes through that was never sent. The io itself is the real one.

import { EventEmitter } from "node:events";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { loadFive, type Transport } from "../../firmware/board/johnny-five.ts";
import { MessageGate } from "../../firmware/board/message-gate.ts";

class Line extends EventEmitter implements Transport {
	readonly written: Buffer[] = [];

	write(bytes: Buffer): boolean {
		this.written.push(bytes);
		return true;
	}
}

const START = 0xf0;
const END = 0xf7;
const pin = [0, 1, 1, 1, 2, 10, 0x7f];
const version = [0xf9, 2, 3];
const firmware = [START, 0x79, 2, 3, 0x53, 0, 0x46, 0, END];
const capabilities = [START, 0x6c, ...Array(20).fill(pin).flat(), END];
const mapping = [START, 0x6a, ...Array.from({ length: 20 }, (_, i) => i), END];
const handshake = [version, firmware, capabilities, mapping];
/** What comes while the rig runs: reports, a pin's state, a register, a warning. */
const usual = [
	[0xe0, 0x12, 0x03],
	[0xe3, 0x7f, 0x00],
	[0x90, 0x04, 0x01],
	[0x91, 0x02, 0x00],
	[START, 0x6e, 4, 1, 1, END],
	[START, 0x77, 0x40, 0, 1, 0, 0x43, 0, 0x04, 0, 0x43, 0, END],
	[START, 0x71, 0x54, 0, 0x6f, 0, END],
];

/** What passes of a stream, message by message; the stream comes in pieces of one byte. */
function passed(bytes: readonly number[]): string[] {
	const line = new Line();
	const found: string[] = [];
	new MessageGate(line).on("data", (message: Buffer) => found.push([...message].join(" ")));
	for (const byte of bytes) line.emit("data", Buffer.from([byte]));
	return found;
}

const all = [...handshake, ...usual];
const whole = all.map((message) => message.join(" "));

describe("the gate", () => {
	it("lets every whole message pass, in its order", () => {
		expect(passed(all.flat())).toEqual(whole);
	});

	it("lets nothing pass that was not sent, whichever byte is lost, and at most two less", () => {
		const bytes = all.flat();
		for (let lost = 0; lost < bytes.length; lost += 1) {
			const found = passed(bytes.toSpliced(lost, 1));
			expect(
				found.filter((message) => !whole.includes(message)),
				`byte ${lost}`,
			).toEqual([]);
			// Without the list of pins their mapping means nothing.
			expect(found.length).toBeGreaterThanOrEqual(whole.length - 2);
		}
	});

	it("writes nothing once it has ended, and says that it is done all the same", () => {
		const line = new Line();
		const gate = new MessageGate(line);
		gate.write(Buffer.from(version));
		gate.end();
		let done = 0;
		gate.write(Buffer.from(version), () => {
			done += 1;
		});
		expect([line.written.length, done]).toEqual([1, 1]);
	});

	it("does not grow on a message without an end", () => {
		const endless = [START, 0x71, ...Array(100_000).fill(1), END];
		expect(passed([...endless, ...usual.flat()])).toEqual(usual.map((one) => one.join(" ")));
	});
});

describe("the io behind it", () => {
	const { Firmata } = loadFive();

	it("makes no error of whatever comes", () => {
		const piece = fc.oneof(
			fc.constantFrom(...all),
			fc.array(fc.integer({ min: 0, max: 255 }), { maxLength: 12 }),
			// A message without one of its bytes.
			fc
				.tuple(fc.constantFrom(...all), fc.nat(200))
				.map(([message, at]) => message.toSpliced(at % message.length, 1)),
		);
		fc.assert(
			fc.property(fc.array(piece, { maxLength: 60 }), (pieces) => {
				const line = new Line();
				const io = new Firmata(new MessageGate(line));
				// It asks for the version by a timer that is of no use here.
				clearTimeout(
					(io as unknown as { reportVersionTimeoutId: NodeJS.Timeout }).reportVersionTimeoutId,
				);
				for (const bytes of [...handshake, ...pieces]) line.emit("data", Buffer.from(bytes));
			}),
			{ seed: 8, numRuns: 2_000 },
		);
	});
});
