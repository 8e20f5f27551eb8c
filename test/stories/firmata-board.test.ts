// The proof of the outputs, against a board that answers what the test says: each pin by itself,
// for its level and for its mode. The real image is in the emulated runs.

import { EventEmitter } from "node:events";
import { describe, expect, it } from "vitest";
import { FirmataBoard, type OutputName } from "../../firmware/board/firmata.ts";
import type { FirmataIo } from "../../firmware/board/johnny-five.ts";
import type { Outputs } from "../../firmware/board/port.ts";
import { pins } from "./world.ts";

const OFF: Outputs = {
	"pump-demand": false,
	"dead-man-beat": false,
	"lamp-pump": false,
	"lamp-trip": false,
	horn: false,
};
const names = Object.keys(OFF) as OutputName[];
const OUTPUT = 1;
const SERVO = 4;

/** Answers at once with the level last written, unless the test holds a pin. */
class FakeIo extends EventEmitter implements FirmataIo {
	readonly isReady = true;
	readonly analogPins = [14, 15, 16, 17, 18, 19];
	readonly MODES = { INPUT: 0, OUTPUT, ANALOG: 2 };
	readonly pins: Array<{ mode: number; state: number }> = Array.from({ length: 20 }, () => ({
		mode: OUTPUT,
		state: 0,
	}));
	/** What a pin answers whatever is written to it. */
	readonly held = new Map<number, { mode: number; state: number }>();
	/** Pins whose next write is lost. */
	readonly deaf = new Set<number>();
	silent = false;

	write(pin: number, high: boolean): void {
		if (!this.deaf.delete(pin)) this.pins[pin] = { mode: OUTPUT, state: high ? 1 : 0 };
	}

	queryPinState(pin: number, answered: () => void): void {
		if (this.silent) return;
		const held = this.held.get(pin);
		if (held !== undefined) this.pins[pin] = held;
		answered();
	}

	pinMode(): void {}
	digitalRead(): void {}
	analogRead(): void {}
	setSamplingInterval(): void {}
	i2cConfig(): void {}
	i2cRead(): void {}
}

function build() {
	const io = new FakeIo();
	const pinOf = new Map<OutputName, number>();
	for (const name of names) {
		const channel = pins.channels[name];
		if (channel?.kind === "digital-out") pinOf.set(name, channel.pin);
	}
	const drives = new Map(
		[...pinOf].map(([name, pin]) => [name, { pin, drive: (high: boolean) => io.write(pin, high) }]),
	);
	let nowMs = 0;
	const board = new FirmataBoard(io, pins, drives, () => nowMs);
	/** Lets ticks pass with a beat; returns what `board` read in each. */
	const pass = (ticks: number, outputs: Outputs = OFF) =>
		Array.from({ length: ticks }, (_, i) => {
			nowMs += 100;
			const reading = board.read().board;
			board.drive({ ...outputs, "dead-man-beat": i % 2 === 0 });
			return reading;
		});
	return { io, pinOf, pass };
}

describe("the board's outputs read back", () => {
	it("as driven: proven at every tick", () => {
		const { pass } = build();
		expect(pass(200).every((reading) => reading?.raw === 1)).toBe(true);
	});

	it.each(names)(
		"%s stuck at the other level: not proven within 1.2 s, and for as long as it is",
		(name) => {
			const { io, pinOf, pass } = build();
			const pin = pinOf.get(name) ?? 0;
			pass(20);
			// The beat changes each tick, so it is held at a level that is no level.
			io.held.set(pin, { mode: OUTPUT, state: name === "dead-man-beat" ? 2 : 1 });
			const raws = pass(100).map((reading) => reading?.raw);
			const first = raws.indexOf(0);
			expect(first).toBeGreaterThan(0);
			expect(first).toBeLessThanOrEqual(12);
			expect(raws.slice(first).every((raw) => raw === 0)).toBe(true);
		},
	);

	it.each(names)("%s in another mode: not proven within 1.2 s", (name) => {
		const { io, pinOf, pass } = build();
		pass(20);
		io.held.set(pinOf.get(name) ?? 0, { mode: SERVO, state: 0 });
		const raws = pass(100).map((reading) => reading?.raw);
		expect(raws.indexOf(0)).toBeGreaterThan(0);
		expect(raws.indexOf(0)).toBeLessThanOrEqual(12);
		expect(raws.at(-1)).toBe(0);
	});

	it("a write that was lost is written again, and proves itself", () => {
		const { io, pinOf, pass } = build();
		const pin = pinOf.get("pump-demand") ?? 0;
		pass(20, { ...OFF, "pump-demand": true });
		expect(io.pins[pin]?.state).toBe(1);
		io.deaf.add(pin);
		const readings = pass(12);
		expect(io.pins[pin]?.state).toBe(0);
		expect(readings.every((reading) => reading?.raw === 1)).toBe(true);
	});

	it("grows old when nothing answers", () => {
		const { io, pass } = build();
		pass(20);
		io.silent = true;
		expect(pass(20).at(-1)?.ageMs).toBeGreaterThan(1_500);
	});
});
