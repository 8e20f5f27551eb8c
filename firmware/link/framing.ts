// Frames on a byte line: SLIP (RFC 1055) around a payload and its CRC-32 (little-endian, the
// polynomial of zlib and Ethernet). Encoder and decoder are serialport's own; a gate in front of
// the decoder cuts the line at its ENDs and lets only whole frames through, none of them too long
// and none with a broken escape, which would make the decoder eat the frame behind it.
//
//   END payload crc32 END         line -> gate -> SlipDecoder -> CRC -> payload

import { crc32 } from "node:zlib";
import { SlipDecoder, SlipEncoder } from "serialport";

/** Raw bytes between two ENDs; a longer run is dropped to the next END. */
export const RAW_BYTES_MAX = 1_200;
/** JSON that fits such a frame: of UTF-8, U+06C0 to U+06FF alone have a byte to be escaped. */
export const PAYLOAD_BYTES_MAX = 1_000;
const END = 0xc0;
const ESC = 0xdb;
const ESC_END = 0xdc;
const ESC_ESC = 0xdd;

export interface FrameCounts {
	good: number;
	/** CRC, length or an escape wrong. */
	damaged: number;
	/** Longer than any frame. */
	oversized: number;
}

/** Reads frames from a line. */
export class FrameReader {
	readonly counts: FrameCounts = { good: 0, damaged: 0, oversized: 0 };
	private readonly onPayload: (payload: Buffer) => void;
	/** Made with the first frame: noise alone needs none. */
	private decoder: SlipDecoder | null = null;
	/** Since the last END, and room for the one that ends it. */
	private readonly raw = Buffer.alloc(RAW_BYTES_MAX + 1);
	private run = 0;
	private escapes = false;
	private isBroken = false;

	constructor(onPayload: (payload: Buffer) => void) {
		this.onPayload = onPayload;
	}

	push(bytes: Uint8Array): void {
		this.take(bytes, Number.POSITIVE_INFINITY);
	}

	/**
	 * Reads until so many frames have ended, good or not.
	 * @returns how many of the bytes it has read
	 */
	take(bytes: Uint8Array, framesMax: number): number {
		let frames = 0;
		for (let i = 0; i < bytes.length; i += 1) {
			const byte = bytes[i] ?? END;
			if (byte !== END) this.gather(byte);
			else if (this.run > 0) {
				this.finish();
				frames += 1;
				if (frames >= framesMax) return i + 1;
			}
		}
		return bytes.length;
	}

	private gather(byte: number): void {
		if (this.run < RAW_BYTES_MAX) this.raw[this.run] = byte;
		this.run += 1;
		if (this.escapes && byte !== ESC_END && byte !== ESC_ESC) this.isBroken = true;
		this.escapes = !this.escapes && byte === ESC;
	}

	private finish(): void {
		const { run } = this;
		const isBroken = this.isBroken || this.escapes;
		this.run = 0;
		this.escapes = false;
		this.isBroken = false;
		if (run > RAW_BYTES_MAX) this.counts.oversized += 1;
		else if (isBroken) this.counts.damaged += 1;
		else {
			this.raw[run] = END;
			this.decoder ??= new SlipDecoder({ readableObjectMode: true });
			this.decoder.write(this.raw.subarray(0, run + 1));
			const payload = unsealed(this.decoder.read() as Buffer);
			if (payload === null) this.counts.damaged += 1;
			else {
				this.counts.good += 1;
				this.onPayload(payload);
			}
		}
	}
}

/** Writes frames to a line. */
export class FrameWriter {
	// The quirk is an END before the frame too: it cuts off any noise that came before it.
	private encoder: SlipEncoder | null = null;
	private readonly write: (bytes: Buffer) => void;

	constructor(write: (bytes: Buffer) => void) {
		this.write = write;
	}

	send(payload: Uint8Array): void {
		this.encoder ??= new SlipEncoder({ bluetoothQuirk: true });
		this.encoder.write(sealed(payload));
		this.write(this.encoder.read() as Buffer);
	}
}

/** The payload with its CRC behind it. */
export function sealed(payload: Uint8Array): Buffer {
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
