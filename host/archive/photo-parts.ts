// What the readers of photos share: big-endian numbers and names in bytes, pieces put together, and
// how a photo is refused. Pure; imports nothing.

/** A photo that may not be kept: what it is, and what would have been one. */
export class PhotoRefused extends Error {
	readonly found: string;
	readonly allowed: string;

	constructor(found: string, allowed: string) {
		super(`found ${found}; allowed: ${allowed}`);
		this.name = "PhotoRefused";
		this.found = found;
		this.allowed = allowed;
	}
}

const viewOf = (bytes: Uint8Array) =>
	new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);

/** @throws RangeError past the end */
export const uint16 = (bytes: Uint8Array, at: number): number => viewOf(bytes).getUint16(at);

/** @throws RangeError past the end */
export const uint32 = (bytes: Uint8Array, at: number): number => viewOf(bytes).getUint32(at);

/** A name in the bytes; shorter at their end. */
export const asciiAt = (bytes: Uint8Array, at: number, length: number): string =>
	String.fromCharCode(...bytes.subarray(at, at + length));

export function joined(parts: readonly Uint8Array[]): Uint8Array {
	const whole = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
	let at = 0;
	for (const part of parts) {
		whole.set(part, at);
		at += part.length;
	}
	return whole;
}
