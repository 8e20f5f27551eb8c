// The Firmata board against an io that answers what the test says: outputs proven pin by pin,
// registers asked in rounds, absent devices that grow old. The real image is in the emulated runs.

import { describe, expect, it } from "vitest";
import { FirmataBoard } from "../../firmware/board/firmata.ts";
import {
	ALL_OFF,
	outputNames as names,
	type OutputName,
	type Outputs,
} from "../../firmware/board/port.ts";
import { type Asked, FakeIo, OUTPUT } from "./fake-io.ts";
import { pins } from "./world.ts";

const SERVO = 4;
const { converter } = pins;

function build(notFitted: readonly string[] = []) {
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
	const board = new FirmataBoard(io, pins, drives, () => nowMs, new Set(notFitted));
	/** Lets ticks pass with a beat; returns what was read in each. */
	const readings = (ticks: number, outputs: Outputs = ALL_OFF) =>
		Array.from({ length: ticks }, (_, i) => {
			nowMs += 100;
			io.report();
			const found = board.read();
			board.drive({ ...outputs, "dead-man-beat": i % 2 === 0 });
			return found;
		});
	const pass = (ticks: number, outputs: Outputs = ALL_OFF) =>
		readings(ticks, outputs).map(({ board: reading }) => reading);
	return { io, board, pinOf, pass, readings };
}

/** The channel that a register belongs to. */
function channelAt({ address, register }: Asked): string {
	for (const [name, channel] of Object.entries(pins.channels)) {
		const isConverter = channel.kind === "converter" && address === converter.address;
		if (isConverter && register === converter.firstRegister + channel.input) return name;
		if (channel.kind === "i2c" && channel.address === address && channel.register === register) {
			return name;
		}
	}
	return "none";
}

const inputs = Object.entries(pins.channels)
	.filter(([, { kind }]) => kind === "converter")
	.map(([name]) => name);

describe("the board's outputs read back", () => {
	it("as driven: proven at every tick", () => {
		const { pass } = build();
		expect(pass(200).every((reading) => reading?.raw === 1)).toBe(true);
	});

	it.each(names)(
		"%s stuck at the other level: not proven within 1.5 s, and for as long as it is",
		(name) => {
			const { io, pinOf, pass } = build();
			const pin = pinOf.get(name) ?? 0;
			pass(20);
			// The beat changes each tick, so it is held at a level that is no level.
			io.held.set(pin, { mode: OUTPUT, state: name === "dead-man-beat" ? 2 : 1 });
			const raws = pass(100).map((reading) => reading?.raw);
			const first = raws.indexOf(0);
			expect(first).toBeGreaterThan(0);
			expect(first).toBeLessThanOrEqual(15);
			expect(raws.slice(first).every((raw) => raw === 0)).toBe(true);
		},
	);

	it.each(names)("%s in another mode: not proven within 1.5 s", (name) => {
		const { io, pinOf, pass } = build();
		pass(20);
		io.held.set(pinOf.get(name) ?? 0, { mode: SERVO, state: 0 });
		const raws = pass(100).map((reading) => reading?.raw);
		expect(raws.indexOf(0)).toBeGreaterThan(0);
		expect(raws.indexOf(0)).toBeLessThanOrEqual(15);
		expect(raws.at(-1)).toBe(0);
	});

	it("a write that was lost is written again, and proves itself", () => {
		const { io, pinOf, pass } = build();
		const pin = pinOf.get("pump-demand") ?? 0;
		pass(20, { ...ALL_OFF, "pump-demand": true });
		expect(io.pins[pin]?.state).toBe(1);
		io.deaf.add(pin);
		const readings = pass(15);
		expect(io.pins[pin]?.state).toBe(0);
		expect(readings.every((reading) => reading?.raw === 1)).toBe(true);
	});

	it("grows old when nothing answers, and leaves no heap of questions behind", () => {
		const { io, pass } = build();
		pass(20);
		io.silent = true;
		expect(pass(2_000).at(-1)?.ageMs).toBeGreaterThan(190_000);
		for (const event of io.eventNames()) {
			if (/^(I2C|pin-state)/.test(String(event))) {
				expect(io.listenerCount(event), String(event)).toBeLessThanOrEqual(2);
			}
		}
	});
});

describe("the beat's mode", () => {
	it("is not reported before its pin has answered, and is read back within 0.7 s", () => {
		const { readings } = build();
		const [first, ...more] = readings(30);
		expect(first?.["beat-mode"]).toBeUndefined();
		for (const { "beat-mode": mode } of more.slice(2)) {
			expect(mode?.raw).toBe(1);
			expect(mode?.ageMs).toBeLessThanOrEqual(700);
		}
	});

	it("is wrong after two answers with another mode, and right again after one", () => {
		const { io, pinOf, readings } = build();
		readings(20);
		const pin = pinOf.get("dead-man-beat") ?? 0;
		io.held.set(pin, { mode: SERVO, state: 0 });
		const raws = readings(16).map((all) => all["beat-mode"]?.raw);
		const first = raws.indexOf(0);
		expect(first).toBeGreaterThan(7);
		expect(raws.slice(first)).not.toContain(1);
		io.held.delete(pin);
		io.pins[pin] = { mode: OUTPUT, state: 0 };
		expect(readings(9).at(-1)?.["beat-mode"]?.raw).toBe(1);
	});

	it("one wrong answer is let pass", () => {
		const { io, pinOf, readings } = build();
		readings(20);
		const pin = pinOf.get("dead-man-beat") ?? 0;
		io.held.set(pin, { mode: SERVO, state: 0 });
		readings(7);
		io.held.delete(pin);
		io.pins[pin] = { mode: OUTPUT, state: 0 };
		expect(readings(20).every((all) => all["beat-mode"]?.raw === 1)).toBe(true);
	});
});

describe("registers are asked in rounds", () => {
	it("current each tick, volts each second one, two inputs of the converter a tick", () => {
		const { io, readings } = build();
		const ticks = Array.from({ length: 40 }, () => {
			io.asked = [];
			readings(1);
			return io.asked.map(channelAt);
		});
		for (const tick of ticks) {
			expect(tick.filter((name) => name === "motor-current")).toHaveLength(1);
			expect(tick.filter((name) => inputs.includes(name))).toHaveLength(2);
			expect(tick.length).toBeLessThanOrEqual(4);
		}
		const volts = ticks.filter((tick) => tick.includes("supply-volts"));
		expect(volts).toHaveLength(20);
		for (let i = 0; i + 5 <= ticks.length; i += 1) {
			expect(new Set(ticks.slice(i, i + 5).flat()).size).toBe(inputs.length + 2);
		}
	});

	it("each is at most half a second old", () => {
		const { readings } = build();
		readings(10);
		for (const found of readings(40)) {
			for (const name of [...inputs, "supply-volts", "motor-current"]) {
				expect(found[name]?.ageMs).toBeLessThanOrEqual(500);
			}
		}
	});

	it("what is not fitted is neither asked nor reported", () => {
		const { io, readings } = build(["level-to", "tube-seat", "bowl-tap"]);
		const found = readings(20).at(-1) ?? {};
		const asked = new Set(io.asked.map(channelAt));
		for (const name of ["level-to", "tube-seat", "bowl-tap"]) {
			expect(asked).not.toContain(name);
			expect(found[name]).toBeUndefined();
		}
		expect(asked).toContain("level-from");
	});

	it("words become counts: flags cut off, sign kept", () => {
		const { io, readings } = build();
		io.word = 0xfff0;
		const found = readings(20).at(-1) ?? {};
		expect(found["motor-current"]?.raw).toBe(-16);
		expect(found["supply-volts"]?.raw).toBe(0xfff0 >> 3);
		expect(found["level-from"]?.raw).toBe(0xfff);
	});

	it.each([
		["lacks a byte", [0x12, 0x34]],
		["has bytes that are none", [0x12, 0x7fff, 0]],
	])("an answer that %s is another number, and is not believed", (_, bytes) => {
		const { io, readings } = build();
		io.word = 0x0120;
		readings(10);
		io.emit("I2C-reply-64-1", bytes);
		expect(readings(1)[0]?.["motor-current"]?.raw).toBe(0x0120);
	});

	it("an answer that is lost is asked for again within half a second", () => {
		const { io, readings } = build();
		readings(10);
		io.losesAnswer = true;
		const ages = readings(20).map((found) => found["motor-current"]?.ageMs ?? Infinity);
		expect(Math.max(...ages)).toBeGreaterThan(100);
		expect(Math.max(...ages)).toBeLessThanOrEqual(500);
		expect(ages.at(-1)).toBeLessThanOrEqual(100);
	});
});

describe("the converter's set-up", () => {
	const full = converter.setUp.map(([register, value]) => [converter.address, register, value]);

	it("is written when the board is ready, in the map's order, and again when it is told to", () => {
		const { io, board } = build();
		expect(io.written).toEqual(full);
		io.written = [];
		board.configure();
		expect(io.written).toEqual(full);
	});

	it("is not written where none of its inputs is fitted", () => {
		expect(build(inputs).io.written).toEqual([]);
	});

	it("is written again when the converter comes back", () => {
		const { io, readings } = build();
		readings(10);
		io.absent.add(converter.address);
		readings(10);
		io.written = [];
		io.absent.delete(converter.address);
		readings(10);
		expect(io.written).toEqual(full);
	});
});

describe("an address at which nothing answers", () => {
	const monitor = ["supply-volts", "motor-current"];
	const monitorAddress = 64;

	it.each([
		["the converter", converter.address, inputs, monitor],
		["the monitor", monitorAddress, monitor, inputs],
	])("%s alone: its channels grow old, the others stay fresh", (_, address, lost, kept) => {
		const { io, readings } = build();
		io.word = 0x0120;
		const before = readings(20).at(-1) ?? {};
		io.absent.add(address);
		io.word = 0x0560;
		const after = readings(30).at(-1) ?? {};
		for (const name of lost) {
			expect(after[name]?.raw).toBe(before[name]?.raw);
			expect(after[name]?.ageMs).toBeGreaterThan(2_500);
		}
		for (const name of kept) {
			expect(after[name]?.raw).not.toBe(before[name]?.raw);
			expect(after[name]?.ageMs).toBeLessThanOrEqual(500);
		}
	});

	it("from the beginning: never reported, not even where the first warning is lost", () => {
		const { io, readings } = build();
		io.absent.add(converter.address);
		io.losesWarning = true;
		const found = readings(30).at(-1) ?? {};
		for (const name of inputs) expect(found[name]).toBeUndefined();
		expect(found["motor-current"]?.ageMs).toBeLessThanOrEqual(100);
	});

	it("a warning that the line loses does not let another device's bytes in", () => {
		const { io, readings } = build();
		io.word = 0x0120;
		const before = readings(20).at(-1)?.["level-from"]?.raw;
		io.absent.add(converter.address);
		readings(10);
		io.word = 0x0560;
		for (let i = 0; i < 8; i += 1) {
			io.losesWarning = true;
			const found = readings(5).at(-1);
			expect(found?.["level-from"]?.raw).toBe(before);
		}
	});
});
