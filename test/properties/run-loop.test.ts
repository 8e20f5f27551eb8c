// Our run loop does what avr8js's own does, to the cycle: on drawn programs, and on the stock image
// through its boot, reports, pulses, PWM, servo edges and questions to the I2C bus.

import { CPU } from "avr8js";
import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { describe, expect, it } from "vitest";
import { AvrBoard, CYCLES_PER_MS } from "../../sim/emulated-board/avr-board.ts";
import { type Loop, RunLoop } from "../../sim/emulated-board/run-loop.ts";
import { BoardTrace } from "../../sim/emulated-board/trace.ts";
import { PlainLoop } from "../bench/plain-loop.ts";

const SEED = 20_261;
const FLASH_WORDS = 0x4000;

/** Words that the loop does by itself, and which of their bits are drawn. */
const own: ReadonlyArray<readonly [word: number, drawn: number]> = [
	[0xe000, 0x0fff],
	[0x2c00, 0x03ff],
	[0x0100, 0x00ff],
	[0x9000, 0x01f0],
	[0xb000, 0x07ff],
	[0x8000, 0x2df7],
	[0x8008, 0x2df7],
	[0x920f, 0x01f0],
	[0x900f, 0x01f0],
	[0xf000, 0x03ff],
	[0xf400, 0x03ff],
	[0xc000, 0x0fff],
	[0x940e, 0x0000],
	[0x9508, 0x0000],
	[0x9200, 0x01f0],
];

/** A drawn program and memory, the same each time for a seed. */
function drawnCpu(seed: number, heard: string[]): CPU {
	const random = xoroshiro128plus(seed);
	const draw = (most: number) => uniformInt(random, 0, most);
	const program = new Uint16Array(FLASH_WORDS);
	for (let i = 0; i < FLASH_WORDS; i += 1) {
		const [word = 0, drawn = 0] = own[draw(own.length - 1)] ?? [];
		const isOwn = draw(9) < 7;
		// What follows a word may be its address: small ones meet peripherals and registers.
		program[i] = isOwn ? word | (draw(0xffff) & drawn) : draw(draw(1) === 0 ? 0x1ff : 0xffff);
	}
	const cpu = new CPU(program);
	for (let i = 0; i < cpu.data.length; i += 1) cpu.data[i] = draw(255);
	for (let address = 0x20; address < 0x100; address += 7) {
		cpu.readHooks[address] = (at) => {
			heard.push(`read ${at} at ${cpu.cycles}`);
			return at & 0xff;
		};
		cpu.writeHooks[address + 3] = (value, old, at) => {
			heard.push(`write ${value} over ${old} to ${at} at ${cpu.cycles}`);
		};
	}
	const again = () => {
		heard.push(`event at ${cpu.cycles}, pc ${cpu.pc}`);
		cpu.addClockEvent(again, 61);
		if (cpu.cycles % 3 === 0) cpu.setInterruptFlag(interrupt);
	};
	const interrupt = {
		address: 2,
		flagRegister: 0x21,
		flagMask: 1,
		enableRegister: 0x22,
		enableMask: 0xff,
	};
	cpu.addClockEvent(again, 5);
	return cpu;
}

function play(seed: number, loopOf: (cpu: CPU) => Loop) {
	const heard: string[] = [];
	const cpu = drawnCpu(seed, heard);
	const loop = loopOf(cpu);
	const states: string[] = [];
	for (let jump = 0; jump < 60; jump += 1) {
		// Wherever the last stretch has led to: anew, with a stack that is in memory.
		cpu.pc = (jump * 263) % (FLASH_WORDS - 600);
		cpu.SP = 0x400 + 8 * jump;
		loop.runTo(cpu.cycles + 400);
		states.push(`pc ${cpu.pc}, cycle ${cpu.cycles}, ${Buffer.from(cpu.data).toString("base64")}`);
	}
	return { heard, states };
}

describe("drawn programs", () => {
	it.each(Array.from({ length: 12 }, (_, i) => SEED + i))("seed %i ends the same", (seed) => {
		const plain = play(seed, (cpu) => new PlainLoop(cpu));
		const ours = play(seed, (cpu) => new RunLoop(cpu));
		expect(plain.heard.length).toBeGreaterThan(300);
		expect(ours.heard).toEqual(plain.heard);
		expect(ours.states).toEqual(plain.states);
	});
});

/** What the computer says, by the millisecond from power-up; the image has booted by 1,900. */
const said: ReadonlyArray<readonly [atMs: number, bytes: readonly number[]]> = [
	// Pin modes: output, PWM, servo. Levels.
	[2_000, [0xf4, 7, 1, 0xf4, 9, 3, 0xf4, 10, 4, 0x90, 0, 1, 0xe9, 0x40, 0, 0xea, 0x5a, 0]],
	// Reports of an analog pin and of a port.
	[2_050, [0xc0, 1, 0xc1, 1, 0xf4, 2, 0, 0xd0, 1, 0xf0, 0x7a, 20, 0, 0xf7]],
	[2_100, [0xf0, 0x78, 0, 0, 0xf7, 0xf0, 0x76, 0x40, 8, 1, 0, 2, 0, 0xf7]],
	// Another address, at which nothing is.
	[2_130, [0xf0, 0x76, 0x41, 8, 1, 0, 2, 0, 0xf7, 0xf0, 0x6d, 7, 0xf7]],
];

it("the stock image does the same, cycle by cycle", () => {
	const cpus: CPU[] = [];
	const boards = [PlainLoop, RunLoop].map((LoopOf) => {
		const board = new AvrBoard((cpu) => {
			cpus.push(cpu);
			return new LoopOf(cpu);
		});
		board.volts = (pin) => 1.1 + pin / 3;
		board.device = (address) =>
			address === 0x40 ? { read: (register) => register * 300, write: () => {} } : undefined;
		return { board, trace: new BoardTrace(board) };
	});
	for (let ms = 1; ms <= 2_400; ms += 1) {
		for (const { board } of boards) {
			if (ms > 2_040 && ms % 3 === 0) board.setInput(2, ms % 2 === 0);
			for (const [atMs, bytes] of said) if (atMs === ms) board.receive(Uint8Array.from(bytes));
			board.runTo(ms * CYCLES_PER_MS);
		}
		const [one, other] = cpus;
		if (one === undefined || other === undefined) return expect.fail("no processors");
		const isSame = one.pc === other.pc && one.cycles === other.cycles;
		if (!isSame || Buffer.compare(one.data, other.data) !== 0) {
			expect.fail(`they part in the millisecond before ${ms}`);
		}
	}
	const [plain, ours] = boards.map(({ trace }) => trace.hashes());
	expect(ours).toEqual(plain);
});
