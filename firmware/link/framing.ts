// Frames on a byte line: SLIP (RFC 1055) around a payload and its CRC-32 (little-endian, the
// polynomial of zlib and Ethernet). Encoder and decoder are serialport's own; a gate in front of
// the decoder drops what is longer than any frame, since the decoder gathers until it sees an END.
//
//   END payload crc32 END         line -> gate -> SlipDecoder -> CRC -> payload

import { Transform, type TransformCallback } from "node:stream";
import { crc32 } from "node:zlib";
import { SlipDecoder, SlipEncoder } from "serialport";

/** Raw bytes between two ENDs; a longer run is dropped to the next END. */
export const RAW_BYTES_MAX = 1_200;
/** Payload that fits such a frame even if half of it had to be escaped. */
export const PAYLOAD_BYTES_MAX = 1_000;
const END = 0xc0;

export interface FrameCounts {
	good: number;
	/** CRC or length wrong. */
	damaged: number;
	/** Longer than any frame. */
	oversized: number;
}

/** Lets bytes through until a run without END is too long; then nothing up to the next END. */
class Gate extends Transform {
	private run = 0;
	private readonly counts: FrameCounts;

	constructor(counts: FrameCounts) {
		super();
		this.counts = counts;
	}

	override _transform(chunk: Buffer, _: BufferEncoding, done: TransformCallback): void {
		const passed: number[] = [];
		for (const byte of chunk) {
			if (byte === END) {
				passed.push(END);
				this.run = 0;
			} else {
				this.run += 1;
				if (this.run <= RAW_BYTES_MAX) passed.push(byte);
				else if (this.run === RAW_BYTES_MAX + 1) this.counts.oversized += 1;
			}
		}
		done(null, Buffer.from(passed));
	}
}

/** Reads frames from a line. */
export class FrameReader {
	readonly counts: FrameCounts = { good: 0, damaged: 0, oversized: 0 };
	private readonly gate = new Gate(this.counts);

	constructor(onPayload: (payload: Buffer) => void) {
		const decoder = new SlipDecoder({ readableObjectMode: true });
		this.gate.pipe(decoder);
		decoder.on("data", (frame: Buffer) => {
			const payload = unsealed(frame);
			if (payload === null) this.counts.damaged += 1;
			else {
				this.counts.good += 1;
				onPayload(payload);
			}
		});
	}

	push(bytes: Buffer): void {
		this.gate.write(bytes);
	}
}

/** Writes frames to a line. */
export class FrameWriter {
	// The quirk is an END before the frame too: it cuts off any noise that came before it.
	private readonly encoder = new SlipEncoder({ bluetoothQuirk: true });

	constructor(write: (bytes: Buffer) => void) {
		this.encoder.on("data", write);
	}

	send(payload: Buffer): void {
		this.encoder.write(sealed(payload));
	}
}

/** The payload with its CRC behind it. */
export function sealed(payload: Buffer): Buffer {
	const tail = Buffer.alloc(4);
	tail.writeUInt32LE(crc32(payload));
	return Buffer.concat([payload, tail]);
}

/** The payload when its CRC is right, else null. */
export function unsealed(frame: Buffer): Buffer | null {
	if (frame.length < 5) return null;
	const payload = frame.subarray(0, -4);
	return crc32(payload) === frame.readUInt32LE(frame.length - 4) ? payload : null;
}
