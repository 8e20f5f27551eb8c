// Runs an AVR processor up to a cycle. Moves, jumps and calls, three fifths of what the image
// executes, are done here by a kind worked out once for each word of the flash; all that reckons,
// sets flags or touches a peripheral is left to avr8js, and so are its events and interrupts, each
// at the very cycle of its own loop. Instructions, cycles and words: Microchip, "AVR Instruction
// Set Manual", DS40002198. Imports avr8js.

import { avrInstruction, type CPU } from "avr8js";

/** What is done here; 0 is whatever is not. */
const LDI = 1;
const MOV = 2;
const MOVW = 3;
const LDS = 4;
const IN = 5;
const LDD_Y = 6;
const LDD_Z = 7;
const PUSH = 8;
const POP = 9;
const BRBS = 10;
const BRBC = 11;
const RJMP = 12;
const CALL = 13;
const RET = 14;
const STS = 15;

const SREG = 0x5f;
const SP = 0x5d;
const Y = 28;
const Z = 30;
/** Peripherals lie below; what is above is memory. */
const SRAM = 0x100;

/** Word under a mask, and its kind. */
const patterns: ReadonlyArray<readonly [mask: number, word: number, kind: number]> = [
	[0xf000, 0xe000, LDI],
	[0xfc00, 0x2c00, MOV],
	[0xff00, 0x0100, MOVW],
	[0xfe0f, 0x9000, LDS],
	[0xf800, 0xb000, IN],
	[0xd208, 0x8008, LDD_Y],
	[0xd208, 0x8000, LDD_Z],
	[0xfe0f, 0x920f, PUSH],
	[0xfe0f, 0x900f, POP],
	[0xfc00, 0xf000, BRBS],
	[0xfc00, 0xf400, BRBC],
	[0xf000, 0xc000, RJMP],
	[0xffff, 0x940e, CALL],
	[0xffff, 0x9508, RET],
	[0xfe0f, 0x9200, STS],
];

/** What avr8js keeps to itself: when its next event is due. Its version is pinned. */
interface Scheduled {
	readonly nextClockEvent: { readonly cycles: number } | null;
}

export interface Loop {
	/** Executes until that cycle has been reached. */
	runTo(target: number): void;
}

export class RunLoop implements Loop {
	private readonly cpu: CPU;
	private readonly kinds: Uint8Array;

	/** To be made when every peripheral has been: their hooks are looked at once. */
	constructor(cpu: CPU) {
		this.cpu = cpu;
		this.kinds = Uint8Array.from(cpu.progMem, (_, at) => kindAt(cpu, at));
	}

	/** Executes until that cycle has been reached. */
	runTo(target: number): void {
		const { cpu, kinds } = this;
		const { data, progMem } = cpu;
		const words = progMem.length;
		let { pc, cycles } = cpu;
		// Something may have come from outside: the first instruction is followed by a look.
		let dueCycle = 0;
		while (cycles < target) {
			const word = progMem[pc] as number;
			const d = (word >> 4) & 0x1f;
			let kind = kinds[pc] as number;
			let address = 0;
			if (kind === LDD_Y || kind === LDD_Z) {
				const base = kind === LDD_Y ? Y : Z;
				const q = (word & 7) | ((word >> 7) & 0x18) | ((word >> 8) & 0x20);
				address = ((data[base] as number) | ((data[base + 1] as number) << 8)) + q;
				if (address < SRAM) kind = 0;
			}
			switch (kind) {
				case LDI:
					data[16 + (d & 0xf)] = (word & 0xf) | ((word >> 4) & 0xf0);
					break;
				case MOV:
					data[d] = data[(word & 0xf) | ((word >> 5) & 0x10)] as number;
					break;
				case MOVW: {
					const to = 2 * (d & 0xf);
					const from = 2 * (word & 0xf);
					data[to] = data[from] as number;
					data[to + 1] = data[from + 1] as number;
					break;
				}
				case LDS:
					pc += 1;
					data[d] = data[progMem[pc] as number] as number;
					cycles += 1;
					break;
				case IN:
					data[d] = data[0x20 + ((word & 0xf) | ((word >> 5) & 0x30))] as number;
					break;
				case LDD_Y:
				case LDD_Z:
					data[d] = data[address] as number;
					cycles += 1;
					break;
				case PUSH: {
					const sp = (data[SP] as number) | ((data[SP + 1] as number) << 8);
					data[sp] = data[d] as number;
					data[SP] = sp - 1;
					data[SP + 1] = (sp - 1) >> 8;
					cycles += 1;
					break;
				}
				case POP: {
					const sp = ((data[SP] as number) | ((data[SP + 1] as number) << 8)) + 1;
					data[SP] = sp;
					data[SP + 1] = sp >> 8;
					data[d] = data[sp] as number;
					cycles += 1;
					break;
				}
				case BRBS:
				case BRBC: {
					const isSet = (((data[SREG] as number) >> (word & 7)) & 1) === 1;
					if (isSet !== (kind === BRBS)) break;
					pc += ((word & 0x3f8) << 22) >> 25;
					cycles += 1;
					break;
				}
				case RJMP:
					pc += (word << 20) >> 20;
					cycles += 1;
					break;
				case CALL: {
					const sp = (data[SP] as number) | ((data[SP + 1] as number) << 8);
					const back = pc + 2;
					data[sp] = back;
					data[sp - 1] = back >> 8;
					data[SP] = sp - 2;
					data[SP + 1] = (sp - 2) >> 8;
					pc = (progMem[pc + 1] as number) - 1;
					cycles += 3;
					break;
				}
				case RET: {
					const sp = ((data[SP] as number) | ((data[SP + 1] as number) << 8)) + 2;
					data[SP] = sp;
					data[SP + 1] = sp >> 8;
					pc = ((data[sp - 1] as number) << 8) + (data[sp] as number) - 1;
					cycles += 3;
					break;
				}
				case STS:
					data[progMem[pc + 1] as number] = data[d] as number;
					pc += 1;
					cycles += 1;
					break;
				default:
					cpu.pc = pc;
					cpu.cycles = cycles;
					avrInstruction(cpu);
					cpu.tick();
					({ pc, cycles } = cpu);
					dueCycle = dueOf(cpu);
					continue;
			}
			pc += 1;
			// Beyond the flash's end is its beginning.
			if (pc >= words) pc %= words;
			cycles += 1;
			if (cycles < dueCycle) continue;
			cpu.pc = pc;
			cpu.cycles = cycles;
			cpu.tick();
			({ pc, cycles } = cpu);
			dueCycle = dueOf(cpu);
		}
		cpu.pc = pc;
		cpu.cycles = cycles;
	}
}

function dueOf(cpu: CPU): number {
	return (cpu as unknown as Scheduled).nextClockEvent?.cycles ?? Number.POSITIVE_INFINITY;
}

/** Kind of the word at a place of the flash; 0 where a peripheral listens. */
function kindAt(cpu: CPU, at: number): number {
	const word = cpu.progMem[at] ?? 0;
	const kind = patterns.find(([mask, bits]) => (word & mask) === bits)?.[2] ?? 0;
	const next = cpu.progMem[at + 1] ?? 0;
	if (kind === LDS && cpu.readHooks[next] !== undefined) return 0;
	if (kind === IN && cpu.readHooks[0x20 + ((word & 0xf) | ((word >> 5) & 0x30))]) return 0;
	// A flag that lets interrupts through is avr8js's.
	if (kind === STS && (next === SREG || cpu.writeHooks[next] !== undefined)) return 0;
	return kind;
}
