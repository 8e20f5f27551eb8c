// A set-pin-mode that the line spoils, on the stock image itself, and the computer dead: which
// modes of the beat's pin make edges by themselves, whether these hold K2, and what ends it. Bytes
// go in as the line brings them; no controller and no johnny-five stand behind.

import { beforeAll, describe, expect, it } from "vitest";
import { DeadMan, RUN_S_MAX } from "../../sim/dead-man.ts";
import { WiredBoard } from "../../sim/emulated-board/wiring.ts";
import { RigModel } from "../../sim/rig.ts";
import { standingWorld } from "../../sim/standing-world.ts";
import { exampleRig, pins } from "./world.ts";

const SET_PIN_MODE = 0xf4;
const DIGITAL_PORT_0 = 0x90;
const ANALOG_MESSAGE = 0xe0;
const [OUTPUT, PWM, SERVO] = [1, 3, 4];
/** Every mode that the protocol names, the pulled-up input last. */
const MODES = Array.from({ length: 12 }, (_, mode) => mode);
const BOOT_MS = 1_800;
/** The dead-man lets go within it, ms. */
const RELEASE_MS = 1_500;

const pinOf = (name: string): number => {
	const channel = pins.channels[name];
	return channel?.kind === "digital-out" ? channel.pin : -1;
};
const beat = pinOf("dead-man-beat");
const demand = pinOf("pump-demand");

class Bench {
	readonly model: RigModel;
	readonly wired: WiredBoard;
	/** Rising edges of the beat's pin, ms after power-up. */
	readonly rises: number[] = [];

	constructor() {
		const rig = exampleRig();
		this.model = new RigModel(rig, standingWorld(rig, 0));
		this.wired = new WiredBoard(this.model, pins);
		this.wired.onEdge = (name, level, atMs) => {
			if (name === "dead-man-beat" && level === "high") this.rises.push(atMs);
		};
		this.pass(BOOT_MS);
		this.send(SET_PIN_MODE, beat, OUTPUT);
		this.send(SET_PIN_MODE, demand, OUTPUT);
	}

	pass(ms: number): void {
		for (let i = 0; i < ms; i += 1) this.wired.runMs();
	}

	send(...bytes: number[]): void {
		this.wired.board.receive(Uint8Array.from(bytes));
	}

	/** A controller at work: the pump demanded and a level change of the beat a tick. */
	work(ticks: number): void {
		for (let i = 0; i < ticks; i += 1) {
			const levels = (1 << demand) | (i % 2 === 0 ? 1 << beat : 0);
			this.send(DIGITAL_PORT_0, levels & 0x7f, levels >> 7);
			this.pass(100);
		}
	}
}

describe("with the computer dead and the pump demanded", () => {
	it("an unspoilt pin lets K2 go within 1.5 s, though the pump's pin stays high", () => {
		const bench = new Bench();
		bench.work(20);
		expect(bench.model.motor.powered).toBe(true);
		bench.pass(RELEASE_MS);
		expect(bench.model.motor.powered).toBe(false);
		expect(bench.model.k1Closed).toBe(true);
	});

	describe("the beat's pin forced to servo", () => {
		const bench = new Bench();
		let forgedMs = 0;
		beforeAll(() => {
			bench.work(20);
			bench.send(SET_PIN_MODE, beat, SERVO);
			bench.pass(4_000);
			forgedMs = bench.wired.nowMs - 2_000;
		}, 120_000);

		it("holds K2 and keeps the pump running, with nobody behind it", () => {
			expect(bench.model.k2Closed).toBe(true);
			expect(bench.model.motor.powered).toBe(true);
		});

		it("makes fifty edges a second by itself", () => {
			const lately = bench.rises.filter((atMs) => atMs >= forgedMs).length;
			expect(lately / 2).toBeGreaterThan(45);
			expect(lately / 2).toBeLessThan(55);
		});

		it("is ended by the run timer in hardware, 4.25 h after the run began", () => {
			const rises = bench.rises.filter((atMs) => atMs >= forgedMs);
			const gapS = ((rises.at(-1) ?? 0) - (rises[0] ?? 0)) / (rises.length - 1) / 1_000;
			const circuit = new DeadMan();
			let heldS = 0;
			for (let s = 0; s < 5 * 3_600; s += gapS) {
				circuit.drive(true);
				circuit.step(gapS);
				circuit.drive(false);
				if (circuit.holds) heldS += gapS;
			}
			expect(heldS / RUN_S_MAX).toBeCloseTo(1, 3);
			expect(RUN_S_MAX / 3_600).toBe(4.25);
			expect(circuit.holds).toBe(false);
		});

		it("is ended by the stop button at once", () => {
			bench.model.stopPressed = true;
			bench.pass(20);
			expect(bench.model.motor.powered).toBe(false);
			bench.model.stopPressed = false;
			bench.pass(20);
			expect(bench.model.motor.powered).toBe(true);
		});

		it("is ended by a reset of the board", () => {
			bench.wired.life.reset();
			bench.pass(20);
			expect(bench.model.motor.powered).toBe(false);
			bench.pass(4_000);
			expect(bench.model.k2Closed).toBe(false);
		});
	});

	it("forced to PWM it is refused: no edge, whatever is written, and K2 lets go", () => {
		const bench = new Bench();
		bench.work(20);
		bench.send(SET_PIN_MODE, beat, PWM);
		bench.send(ANALOG_MESSAGE | beat, 0x40, 0);
		bench.pass(RELEASE_MS);
		const before = bench.rises.length;
		expect(bench.model.motor.powered).toBe(false);
		bench.pass(2_000);
		expect(bench.rises.length).toBe(before);
		expect(bench.model.k2Closed).toBe(false);
	});
});

it("of all modes servo alone makes edges on the beat's pin", () => {
	const bench = new Bench();
	const makeEdges = MODES.filter((mode) => {
		bench.send(SET_PIN_MODE, beat, OUTPUT);
		bench.pass(30);
		bench.send(SET_PIN_MODE, beat, mode);
		bench.send(ANALOG_MESSAGE | beat, 0x40, 0);
		bench.pass(30);
		const before = bench.rises.length;
		bench.pass(100);
		return bench.rises.length > before;
	});
	expect(makeEdges).toEqual([SERVO]);
});
