// What an emulated board did, as two fingerprints: SHA-256 over all level changes of its pins and
// over all bytes of its serial line, each with the machine cycle at which it came. Two runs with
// the same fingerprints did the same at the same cycles. Imports Node's crypto.

import { createHash } from "node:crypto";
import type { TraceHashes } from "../bench/session.ts";
import type { AvrBoard, PinLevel } from "./avr-board.ts";

const LEVELS: readonly PinLevel[] = ["low", "high", "floating"];
/** Who sent a byte. */
const HOST = 0;
const BOARD = 1;
/** Two small numbers and a cycle. */
const ENTRY_BYTES = 10;
const ENTRIES = 1_000;

export class BoardTrace {
	private readonly edges = new Fingerprint();
	private readonly bytes = new Fingerprint();

	/** Listens beside whoever listens already. */
	constructor(board: AvrBoard) {
		const { onPin, onByte } = board;
		board.onPin = (pin, level, cycle) => {
			this.edges.add(pin, LEVELS.indexOf(level), cycle);
			onPin(pin, level, cycle);
		};
		board.onByte = (byte) => {
			this.bytes.add(BOARD, byte, board.cycles);
			onByte(byte);
		};
		board.onByteIn = (byte) => this.bytes.add(HOST, byte, board.cycles);
	}

	/** To be asked once, at the end. */
	hashes(): TraceHashes {
		return { edges: this.edges.digest(), bytes: this.bytes.digest() };
	}
}

class Fingerprint {
	private readonly hash = createHash("sha256");
	private readonly entries = Buffer.alloc(ENTRY_BYTES * ENTRIES);
	private filled = 0;

	add(first: number, second: number, cycle: number): void {
		const { entries } = this;
		entries.writeUInt8(first, this.filled);
		entries.writeUInt8(second, this.filled + 1);
		entries.writeDoubleLE(cycle, this.filled + 2);
		this.filled += ENTRY_BYTES;
		if (this.filled === entries.length) this.flush();
	}

	digest(): string {
		this.flush();
		return this.hash.digest("hex");
	}

	private flush(): void {
		this.hash.update(this.entries.subarray(0, this.filled));
		this.filled = 0;
	}
}
