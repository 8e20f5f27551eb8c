// A byte that has come in stays until the program reads it. In avr8js a write to one of the serial
// port's control registers throws away what came in just before it, and the image makes such a
// write at the end of each thing it sends: about one byte in ten thousand is lost, and a command
// with it. Registers and flags: Microchip, "ATmega328P data sheet", DS40002061, section 20.11: the
// flag of a received byte is cleared by reading it and by switching the receiver off, and by
// nothing else that is written. Imports avr8js.

import { type CPU, usart0Config } from "avr8js";

const { UCSRA, UCSRB, rxCompleteInterrupt } = usart0Config;
/** A byte waits: in the first register. Receiver, and its interrupt: in the second. */
const RXC = 0x80;
const RXEN = 0x10;
const RXCIE = 0x80;

/** To be called when the serial port has been made. */
export function keepReceivedByte(cpu: CPU): void {
	const received = {
		address: rxCompleteInterrupt,
		flagRegister: UCSRA,
		flagMask: RXC,
		enableRegister: UCSRB,
		enableMask: RXCIE,
		// It asks again until the byte is read.
		constant: true,
	};
	for (const register of [UCSRA, UCSRB]) {
		const write = cpu.writeHooks[register];
		cpu.writeHooks[register] = (value, old, address, mask) => {
			const { data } = cpu;
			const waits = ((data[UCSRA] as number) & RXC) !== 0;
			const isDone = write?.(value, old, address, mask);
			if (waits && ((data[UCSRB] as number) & RXEN) !== 0) cpu.setInterruptFlag(received);
			return isDone;
		};
	}
}
