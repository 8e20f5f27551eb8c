// A real photo of one grey pixel as PNG, made here: what tests send where any photo will do. Node
// alone.

import { crc32, deflateSync } from "node:zlib";

/** @param grey 0 to 255 */
export function pngOf(grey: number): Buffer {
	const head = Buffer.from([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
	// One by one pixel, eight bits, grey.
	const size = Buffer.from([0, 0, 0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0]);
	const data = deflateSync(Buffer.from([0, grey]));
	const empty = Buffer.alloc(0);
	return Buffer.concat([head, chunk("IHDR", size), chunk("IDAT", data), chunk("IEND", empty)]);
}

function chunk(type: string, body: Buffer): Buffer {
	const inside = Buffer.concat([Buffer.from(type, "latin1"), body]);
	const [length, sum] = [Buffer.alloc(4), Buffer.alloc(4)];
	length.writeUInt32BE(body.length);
	sum.writeUInt32BE(crc32(inside));
	return Buffer.concat([length, inside, sum]);
}
