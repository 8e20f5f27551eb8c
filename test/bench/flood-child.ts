// A hostile client in a process of its own: pours noise and good frames into a controller's socket
// as fast as it takes them, and comes back at once when it is cut off. Told to begin and to stop
// over its parent's channel.

import { connect, type Socket } from "node:net";
import { FrameWriter } from "../../firmware/link/framing.ts";

const path = process.argv[2] ?? "";
const NOISE_BYTES = 3_000;
const GOOD_FRAMES = 40;

const parts: Buffer[] = [Buffer.alloc(NOISE_BYTES, 0x55)];
const writer = new FrameWriter((bytes) => parts.push(bytes));
for (let id = 0; id < GOOD_FRAMES; id += 1) {
	writer.send(Buffer.from(JSON.stringify({ jsonrpc: "2.0", id, method: "status", params: {} })));
}
const flood = Buffer.concat(parts);

let isPouring = false;
let line: Socket | null = null;
/** Bytes written and connections lost, since it began. */
const told = { bytes: 0, cuts: 0 };

function pour(): void {
	if (!isPouring) return;
	const socket = connect(path);
	line = socket;
	const write = () => {
		while (isPouring && socket.write(flood)) told.bytes += flood.length;
	};
	socket.on("connect", write);
	socket.on("drain", write);
	socket.on("error", () => {});
	socket.on("close", () => {
		told.cuts += 1;
		setImmediate(pour);
	});
}

process.on("message", (asked) => {
	isPouring = asked === "pour";
	if (isPouring) pour();
	else {
		line?.destroy();
		process.send?.({ ...told });
	}
});
