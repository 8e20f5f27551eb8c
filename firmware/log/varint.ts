// Whole numbers as bytes: LEB128 without a sign, seven bits a byte, low ones first, up to 2^53 - 1;
// with a sign by zigzag (0, -1, 1, -2 … as 0, 1, 2, 3 …). Pure: no Node, no file.
// Source: DWARF 5 standard, section 7.6 (unsigned LEB128); zigzag from memory.

/** What was read is not what a writer of this format makes. */
export class BadBytes extends Error {}

/** Bytes of the longest number: 8 times 7 bits. */
const VARINT_BYTES_MAX = 8;

export class ByteWriter {
	private bytes = new Uint8Array(256);
	private end = 0;

	get length(): number {
		return this.end;
	}

	/** @param value 0 to 2^53 - 1 */
	varint(value: number): void {
		this.makeRoom(VARINT_BYTES_MAX);
		let rest = value;
		while (rest >= 0x80) {
			this.bytes[this.end] = (rest % 0x80) | 0x80;
			this.end += 1;
			rest = Math.floor(rest / 0x80);
		}
		this.bytes[this.end] = rest;
		this.end += 1;
	}

	/** @param value -2^52 to 2^52 - 1 */
	signed(value: number): void {
		this.varint(value < 0 ? -2 * value - 1 : 2 * value);
	}

	append(bytes: Uint8Array): void {
		this.makeRoom(bytes.length);
		this.bytes.set(bytes, this.end);
		this.end += bytes.length;
	}

	/** A copy of what was written. */
	written(): Uint8Array {
		return this.bytes.slice(0, this.end);
	}

	private makeRoom(count: number): void {
		if (this.end + count <= this.bytes.length) return;
		const grown = new Uint8Array(Math.max(2 * this.bytes.length, this.end + count));
		grown.set(this.bytes);
		this.bytes = grown;
	}
}

/** Every method throws BadBytes where the bytes end too early or say a number too large. */
export class ByteReader {
	private readonly bytes: Uint8Array;
	private at: number;

	constructor(bytes: Uint8Array, at = 0) {
		this.bytes = bytes;
		this.at = at;
	}

	/** Bytes read so far. */
	get read(): number {
		return this.at;
	}

	get left(): number {
		return this.bytes.length - this.at;
	}

	varint(): number {
		let value = 0;
		let unit = 1;
		for (let n = 0; n < VARINT_BYTES_MAX; n += 1) {
			const byte = this.bytes[this.at];
			if (byte === undefined) throw new BadBytes("the bytes end in a number");
			this.at += 1;
			value += (byte & 0x7f) * unit;
			if (byte < 0x80) {
				if (value > Number.MAX_SAFE_INTEGER) break;
				return value;
			}
			unit *= 0x80;
		}
		throw new BadBytes("a number is too large");
	}

	signed(): number {
		const value = this.varint();
		return value % 2 === 0 ? value / 2 : -(value + 1) / 2;
	}

	/** A view, not a copy. */
	take(count: number): Uint8Array {
		if (count > this.left) throw new BadBytes("the bytes end too early");
		this.at += count;
		return this.bytes.subarray(this.at - count, this.at);
	}
}
