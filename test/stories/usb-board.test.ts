// Which device is taken for the board: the one that has answered as a board, never one that only
// stood at its path while the controller waited.

import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { SteadyBoard } from "../../firmware/board/steady-board.ts";
import { type Computer, portOf } from "../../host/cli/usb-board.ts";
import type { PortFacts } from "../../host/link/reconnect.ts";
import { FakeBoard } from "./fake-board.ts";
import { pins } from "./world.ts";

const PATH = "/dev/ttyACM0";

const { channels } = pins;
const plain = Object.fromEntries(
	Object.entries(channels).filter(([, { kind }]) => kind !== "i2c" && kind !== "converter"),
);

beforeEach(() => {
	vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
});
afterEach(() => vi.useRealTimers());

const pass = (seconds: number) => vi.advanceTimersByTimeAsync(seconds * 1_000);

/** A computer with sockets by path, and which devices are in them. */
class Sockets implements Computer {
	readonly plugged = new Map<string, { device: FakeBoard; serialNumber: string }>();
	readonly openedPaths: string[] = [];

	plug(path: string, device: FakeBoard, serialNumber: string): void {
		device.isThere = true;
		this.plugged.set(path, { device, serialNumber });
	}

	pull(path: string): void {
		const found = this.plugged.get(path);
		this.plugged.delete(path);
		found?.device.pull();
	}

	listPorts = async (): Promise<PortFacts[]> =>
		[...this.plugged].map(([path, { serialNumber }]) => ({ path, serialNumber }));

	open = async (path: string) => {
		const found = this.plugged.get(path);
		if (found === undefined) throw new Error("no such port");
		this.openedPaths.push(path);
		return found.device.open();
	};
}

describe("a rig that waits for its board", () => {
	function waiting() {
		const sockets = new Sockets();
		const news: string[] = [];
		SteadyBoard.expect({
			open: portOf(PATH, sockets),
			pins: { ...pins, channels: plain },
			clock: () => 0,
			tell: (what) => news.push(what),
		});
		return { sockets, news };
	}

	it("takes the board after a stranger at its path has not answered", async () => {
		const { sockets, news } = waiting();
		const stranger = new FakeBoard();
		stranger.silent = true;
		sockets.plug(PATH, stranger, "receiver");
		await pass(14);
		expect(news).toEqual(["silent"]);
		sockets.pull(PATH);
		await pass(2);
		const board = new FakeBoard();
		sockets.plug(PATH, board, "board");
		await pass(15);
		expect(board.opened).toBe(1);
		// It was met: the button's pin has been told to be an input.
		expect(board.modes[9]).toBe(0);
	});

	it("and from then on that board under any path, whatever stands at the old one", async () => {
		const { sockets } = waiting();
		const board = new FakeBoard();
		sockets.plug(PATH, board, "board");
		await pass(15);
		expect(board.opened).toBe(1);
		sockets.pull(PATH);
		const stranger = new FakeBoard();
		sockets.plug(PATH, stranger, "receiver");
		await pass(3);
		expect(stranger.opened).toBe(0);
		sockets.plug("/dev/ttyACM1", board, "board");
		await pass(3);
		expect([stranger.opened, board.opened]).toEqual([0, 2]);
		expect(sockets.openedPaths.at(-1)).toBe("/dev/ttyACM1");
	});
});
