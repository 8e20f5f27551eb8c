// Reads a program image in Intel HEX: `:` count address type data checksum, all in hexadecimal.
// Record types 0 (data) and 1 (end) are all that an image under 64 kB has. Format: Intel,
// "Hexadecimal Object File Format Specification", revision A, 1988.

/**
 * @returns the image in `bytesMax` bytes, unwritten ones 0xFF as in erased flash
 * @throws Error where a line is broken, with its number
 */
export function readIntelHex(text: string, bytesMax: number): Uint8Array {
	const image = new Uint8Array(bytesMax).fill(0xff);
	const lines = text.split(/\r?\n/);
	for (const [i, line] of lines.entries()) {
		if (line === "") continue;
		const broken = (why: string) => new Error(`line ${i + 1} of the image: ${why}`);
		if (!/^:([0-9A-Fa-f]{2}){5,}$/.test(line)) throw broken("not a record");
		const bytes = Uint8Array.from(line.slice(1).match(/../g) ?? [], (pair) => parseInt(pair, 16));
		const [count = 0, high = 0, low = 0, type = 0] = bytes;
		if (bytes.length !== count + 5) throw broken("its length is not what it says");
		if ((bytes.reduce((sum, byte) => sum + byte, 0) & 0xff) !== 0) throw broken("checksum");
		if (type === 1) return image;
		if (type !== 0) throw broken(`record type ${type}`);
		const address = high * 256 + low;
		if (address + count > bytesMax) throw broken("beyond the flash");
		image.set(bytes.subarray(4, 4 + count), address);
	}
	throw new Error("the image has no end record");
}
