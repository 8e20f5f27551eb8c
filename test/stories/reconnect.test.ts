// A line that comes back: a device is known by its USB serial number under any name, and what now
// stands under its old name is not taken for it.

import { duplexPair, PassThrough } from "node:stream";
import { describe, expect, it } from "vitest";
import { InputError } from "../../firmware/config/input-error.ts";
import { FrameReader, FrameWriter } from "../../firmware/link/framing.ts";
import { PROTOCOL_VERSION } from "../../firmware/link/protocol.ts";
import type { Line } from "../../host/link/line.ts";
import {
	identify,
	type ListPorts,
	type PortFacts,
	pathNow,
	waitForLine,
} from "../../host/link/reconnect.ts";
import { SteadyLink } from "../../host/link/steady-link.ts";

const ours: PortFacts = {
	...{ path: "/dev/ttyACM0", serialNumber: "A1", vendorId: "1209", productId: "0001" },
	pnpId: "usb-lees_A1-if00",
};
const stranger: PortFacts = { ...ours, path: "/dev/ttyACM1", serialNumber: "B2", pnpId: "b2" };
const lists =
	(...ports: PortFacts[]): ListPorts =>
	async () =>
		ports;

describe("where a device is now", () => {
	const device = { path: ours.path, usb: ours };

	it("is under its own name, or another one, by its serial number", () => {
		expect(pathNow(device, [stranger, ours])).toBe("/dev/ttyACM0");
		expect(pathNow(device, [stranger, { ...ours, path: "/dev/ttyACM7" }])).toBe("/dev/ttyACM7");
	});

	it("is nowhere when another device has taken its name", () => {
		expect(pathNow(device, [{ ...stranger, path: ours.path }])).toBeNull();
		expect(pathNow(device, [])).toBeNull();
	});

	it("is not a device of another maker with the same number", () => {
		expect(pathNow(device, [{ ...ours, path: "/dev/ttyUSB0", vendorId: "0403" }])).toBeNull();
	});

	it("is the same port of a device that has two", () => {
		const second = { ...ours, path: "/dev/ttyACM4", pnpId: "usb-lees_A1-if02" };
		const first = { ...ours, path: "/dev/ttyACM5" };
		expect(pathNow(device, [second, first])).toBe("/dev/ttyACM5");
	});

	it("is its own path when it has no serial number, listed or not", async () => {
		for (const list of [lists(), lists({ path: "/dev/ttyS0" })]) {
			const plain = await identify("/dev/ttyS0", list);
			expect(plain.usb).toBeNull();
			expect(pathNow(plain, [])).toBe("/dev/ttyS0");
		}
	});

	it("is known by its path where the system cannot list its ports", async () => {
		const device = await identify("/dev/ttyACM0", async () => {
			throw new Error("no udev");
		});
		expect(device.usb).toBeNull();
	});
});

describe("waiting for a line", () => {
	const device = { path: ours.path, usb: ours };
	const away = new InputError([{ file: "x", found: "no such port", allowed: "a port" }]);
	const line = (path: string) => ({ path, stream: new PassThrough(), close: async () => {} });

	it("opens it under the name that it comes back with, once it lets itself be opened", async () => {
		let asked = 0;
		let tried = 0;
		const found = await waitForLine(device, {
			patienceMs: 5_000,
			listPorts: async () => {
				asked += 1;
				return asked < 2 ? [stranger] : [stranger, { ...ours, path: "/dev/ttyACM7" }];
			},
			open: async (path) => {
				tried += 1;
				if (tried === 1) throw away;
				return line(path);
			},
		});
		expect(found?.path).toBe("/dev/ttyACM7");
		expect(tried).toBe(2);
	});

	it("ends with what was looked for when it stays away", async () => {
		const patience = { patienceMs: 300, listPorts: lists(stranger), open: async () => line("x") };
		await expect(waitForLine(device, patience)).rejects.toThrow(
			/no line with serial number A1 under any name for 0 s after it was lost/,
		);
	});

	it("ends at once when somebody has seen enough", async () => {
		const stop = new AbortController();
		const patience = { patienceMs: 60_000, listPorts: lists(), open: async () => line("x") };
		const waiting = waitForLine(device, { ...patience, signal: stop.signal });
		stop.abort();
		expect(await waiting).toBeNull();
	});

	it("does not hide a fault of ours", async () => {
		const open = async () => {
			throw new TypeError("a bug");
		};
		const patience = { patienceMs: 1_000, listPorts: lists(ours), open };
		await expect(waitForLine(device, patience)).rejects.toThrow("a bug");
	});
});

describe("a link that comes back", () => {
	const hello = {
		...{ protocol: PROTOCOL_VERSION, storeId: "s", boot: 1, rig: "r", methods: [] },
		limits: {
			...{ frameBytesMax: 1_200, batchFrameBytesMax: 512, framesPerTick: 8, bytesPerTick: 4_096 },
			...{ queueBytesMax: 65_536, transfersMax: 4, creditMax: 64 },
		},
	};
	/** A line to somebody who gives one answer to every question. */
	function answering(answer: object): { line: Line; closed: () => boolean } {
		const [near, far] = duplexPair();
		const writer = new FrameWriter((bytes) => far.write(bytes));
		const reader = new FrameReader((payload) => {
			const { id } = JSON.parse(payload.toString("utf8"));
			writer.send(Buffer.from(JSON.stringify({ jsonrpc: "2.0", id, ...answer })));
		});
		far.on("data", (bytes: Buffer) => reader.push(bytes));
		const close = async () => void near.destroy();
		return { line: { path: "p", stream: near, close }, closed: () => near.destroyed };
	}

	it("lets go of a line on which it is refused: an open one would keep the process", async () => {
		const first = answering({ result: hello });
		const second = answering({ error: { code: -32_603, message: "not now" } });
		const lines = [first.line, second.line];
		const open = async () => {
			const line = lines.shift();
			if (line === undefined) throw new InputError([]);
			return line;
		};
		const link = await SteadyLink.open("p", { patienceMs: 1_000, listPorts: lists(), open });
		await expect(link.again()).rejects.toThrow("not now");
		expect([first.closed(), second.closed()]).toEqual([true, true]);
	});
});
