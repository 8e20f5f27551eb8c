// avr8js's own way to run a program, as its documents have it: one instruction, then events and
// interrupts. What our loop is held to, and timed beside.

import { avrInstruction, type CPU } from "avr8js";
import type { Loop } from "../../sim/emulated-board/run-loop.ts";

export class PlainLoop implements Loop {
	private readonly cpu: CPU;

	constructor(cpu: CPU) {
		this.cpu = cpu;
	}

	runTo(target: number): void {
		const { cpu } = this;
		while (cpu.cycles < target) {
			avrInstruction(cpu);
			cpu.tick();
		}
	}
}
