// A board that goes away and comes back: one that was reset is told again what each pin is for and
// is not believed for a second; one whose line is lost is looked for, opened anew, and leaves
// nothing behind. The real image does the same in the scenarios of the board's faults.

import { getHeapStatistics, setFlagsFromString } from "node:v8";
import { runInNewContext } from "node:vm";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { ALL_OFF } from "../../firmware/board/port.ts";
import { type BoardNews, SteadyBoard } from "../../firmware/board/steady-board.ts";
import { FakeBoard } from "./fake-board.ts";
import { pins } from "./world.ts";

const OUTPUT = 1;
const ANALOG = 2;

/** Growth that a loss may leave, of what has nothing to do with it. */
const HEAP_BYTES = 100;

// The registers are left out: no I2C device hangs on this board.
const { channels } = pins;
const plain = Object.fromEntries(
	Object.entries(channels).filter(([, { kind }]) => kind !== "i2c" && kind !== "converter"),
);
const plainPins = { ...pins, channels: plain };

setFlagsFromString("--expose-gc");
const collect = runInNewContext("gc") as () => void;

const beatPin = 4;
const demandPin = 7;
const buttonPin = 9;
const BUTTON = "acknowledge-button";

let nowMs = 0;
beforeEach(() => {
	nowMs = 0;
	vi.useFakeTimers({ toFake: ["setTimeout", "clearTimeout"] });
});
afterEach(() => vi.useRealTimers());

/** Lets ticks pass; the pump is demanded and the beat goes on if `pumping`. */
async function pass(fake: FakeBoard, board: SteadyBoard, ticks: number, pumping = false) {
	const found = [];
	for (let i = 0; i < ticks; i += 1) {
		nowMs += 100;
		await vi.advanceTimersByTimeAsync(100);
		fake.report();
		found.push(board.read());
		const beat = pumping && i % 2 === 0;
		board.drive({ ...ALL_OFF, "pump-demand": pumping, "dead-man-beat": beat });
	}
	return found;
}

async function opened() {
	const fake = new FakeBoard();
	const news: BoardNews[] = [];
	const { open } = fake;
	const tell = (what: BoardNews) => news.push(what);
	const parts = { open, pins: plainPins, clock: () => nowMs, tell };
	const opening = SteadyBoard.open(parts);
	await vi.advanceTimersByTimeAsync(0);
	fake.boot();
	await vi.advanceTimersByTimeAsync(10);
	const board = await opening;
	await pass(fake, board, 20);
	return { fake, board, news };
}

describe("a board that was reset", () => {
	it("is not as driven for a second, however soon it answers, and is set up again", async () => {
		const { fake, board } = await opened();
		await pass(fake, board, 20, true);
		expect(fake.levels[7]).toBe(1);
		fake.boot();
		expect(fake.modes[2]).toBe(OUTPUT);
		const raws = (await pass(fake, board, 30, true)).map((found) => found.board?.raw);
		expect(raws.slice(0, 9)).toEqual(Array(9).fill(0));
		expect(raws.at(-1)).toBe(1);
		expect([fake.modes[2], fake.modes[9]]).toEqual([0, 0]);
	});

	it("whose word of it is lost is noticed by its inputs within 4 s", async () => {
		const { fake, board } = await opened();
		fake.modes.fill(OUTPUT);
		const raws = (await pass(fake, board, 60)).map((found) => found.board?.raw);
		expect(raws.indexOf(0)).toBeGreaterThan(0);
		expect(raws.indexOf(0)).toBeLessThanOrEqual(40);
		expect([fake.modes[2], fake.modes[9]]).toEqual([0, 0]);
	});

	it("is set up again after a silence, whatever it has kept", async () => {
		const { fake, board } = await opened();
		fake.silent = true;
		await pass(fake, board, 30);
		fake.modes.fill(ANALOG);
		fake.silent = false;
		await pass(fake, board, 5);
		expect([fake.modes[7], fake.modes[4], fake.modes[2]]).toEqual([OUTPUT, OUTPUT, 0]);
	});
});

describe("a line that is lost", () => {
	it("lets readings grow old, and is read again within two seconds of its return", async () => {
		const { fake, board, news } = await opened();
		fake.pull();
		const away = await pass(fake, board, 50);
		expect(away.at(-1)?.board?.ageMs).toBeGreaterThan(4_900);
		expect(away.at(-1)?.["stop-loop"]?.ageMs).toBeGreaterThan(4_900);
		fake.isThere = true;
		await pass(fake, board, 10);
		fake.boot();
		const back = await pass(fake, board, 12);
		expect(back.at(-1)?.board).toEqual({ raw: 1, ageMs: expect.any(Number) });
		expect(back.at(-1)?.board?.ageMs).toBeLessThan(300);
		expect(back.at(-1)?.["stop-loop"]?.ageMs).toBeLessThan(300);
		expect(news).toEqual(["lost", "back"]);
	});

	it("begins with all outputs off, until the next tick drives them", async () => {
		const { fake, board } = await opened();
		await pass(fake, board, 10, true);
		fake.pull();
		await pass(fake, board, 20);
		fake.isThere = true;
		await pass(fake, board, 10);
		fake.levels.fill(1);
		fake.boot();
		await pass(fake, board, 3);
		for (const channel of Object.values(plain)) {
			if (channel.kind === "digital-out") expect(fake.levels[channel.pin]).toBe(0);
		}
	});

	it("is lost a thousand times and leaves nothing behind", { timeout: 60_000 }, async () => {
		const { fake, board } = await opened();
		const lose = async (times: number) => {
			for (let i = 0; i < times; i += 1) {
				fake.pull();
				await pass(fake, board, 2);
				fake.isThere = true;
				await pass(fake, board, 11);
				fake.boot();
				await pass(fake, board, 2);
			}
			collect();
			return getHeapStatistics().used_heap_size;
		};
		const before = fake.opened;
		// What is made once has been made by then.
		const first = await lose(1_000);
		const last = await lose(1_000);
		expect(fake.opened - before).toBe(2_000);
		// One listener that stays is some hundred bytes.
		expect((last - first) / 1_000).toBeLessThan(HEAP_BYTES);
		expect(board.read().board?.raw).toBe(0);
	});
});

describe("a board that was not reset while its line was away for a second", () => {
	/** Returns in the tick in which the line was opened again. */
	async function away() {
		const { fake, board } = await opened();
		await pass(fake, board, 10, true);
		fake.put(buttonPin, 1);
		const pressed = await pass(fake, board, 1, true);
		expect(pressed.at(-1)?.[BUTTON]?.raw).toBe(1);
		fake.pull();
		await pass(fake, board, 5);
		// The trip's writes and the button's release were lost with the line.
		fake.put(buttonPin, 0);
		expect(fake.levels[demandPin]).toBe(1);
		fake.isThere = true;
		while (fake.port === null) await pass(fake, board, 1);
		expect(board.read().board?.ageMs).toBeLessThan(2_000);
		return { fake, board };
	}

	it("is driven anew in the very tick of the line's return", async () => {
		const { fake } = await away();
		expect(fake.levels[demandPin]).toBe(0);
	});

	it("says anew what the button is", async () => {
		const { fake, board } = await away();
		const found = await pass(fake, board, 1);
		expect(found.at(-1)?.[BUTTON]?.raw).toBe(0);
	});
});

describe("a button's level whose report was lost", () => {
	it.each([
		["a release", 1, 0],
		["a press", 0, 1],
	])("%s is known within a second", async (_, from, to) => {
		const { fake, board } = await opened();
		fake.put(buttonPin, from);
		await pass(fake, board, 1);
		fake.put(buttonPin, to, { says: false });
		const raws = (await pass(fake, board, 12)).map((found) => found[BUTTON]?.raw);
		expect(raws[0]).toBe(from);
		expect(raws.lastIndexOf(from)).toBeLessThan(10);
		expect(raws.at(-1)).toBe(to);
	});

	it("is unknown from a board's new beginning until it has said so", async () => {
		const { fake, board } = await opened();
		fake.put(buttonPin, 1);
		await pass(fake, board, 1);
		fake.boot();
		fake.silent = true;
		expect((await pass(fake, board, 2)).at(-1)?.[BUTTON]).toBeUndefined();
		fake.silent = false;
		expect((await pass(fake, board, 12)).at(-1)?.[BUTTON]?.raw).toBe(1);
	});
});

describe("a board that hangs", () => {
	it("has its line opened anew after six seconds, and then every twelve", async () => {
		const { fake, board, news } = await opened();
		fake.silent = true;
		await pass(fake, board, 55);
		expect(fake.opened).toBe(1);
		const old = fake.port;
		await pass(fake, board, 10);
		expect(fake.opened).toBe(2);
		// Whatever the old port still says is not heard.
		old?.emit("data", Buffer.from([0xf9, 2, 3]));
		expect(board.read().board?.ageMs).toBeGreaterThan(6_000);
		// A port that is still open cannot be opened.
		expect(fake.openAtOnce).toBe(1);
		await pass(fake, board, 115);
		expect(fake.opened).toBe(2);
		await pass(fake, board, 10);
		expect(fake.opened).toBe(3);
		fake.silent = false;
		await pass(fake, board, 15);
		expect(board.read().board).toMatchObject({ raw: 1 });
		expect(news).toEqual(["silent", "back"]);
	});
});

describe("a board that comes later", () => {
	it("was never heard until then, and is read once it is there", async () => {
		const fake = new FakeBoard();
		fake.isThere = false;
		const { open } = fake;
		const board = SteadyBoard.expect({ open, pins: plainPins, clock: () => nowMs });
		const before = await pass(fake, board, 50);
		expect(before.at(-1)).toEqual({});
		fake.isThere = true;
		await pass(fake, board, 10);
		fake.boot();
		const after = await pass(fake, board, 12);
		expect(after.at(-1)?.board?.ageMs).toBeLessThan(300);
	});

	it("is asked who it is when it does not say so", async () => {
		const fake = new FakeBoard();
		const board = SteadyBoard.expect({ open: fake.open, pins: plainPins, clock: () => nowMs });
		fake.levels.fill(1);
		await vi.advanceTimersByTimeAsync(3_500);
		expect(board.read().board?.ageMs).toBeLessThan(300);
		// Before any tick has driven it.
		expect([beatPin, demandPin].map((pin) => fake.levels[pin])).toEqual([0, 0]);
	});
});

describe("a board that is waited for", () => {
	function waiting(fake: FakeBoard, open = fake.open) {
		const news: string[] = [];
		const tell = (what: BoardNews, why?: string) => news.push(`${what}: ${why}`);
		const board = SteadyBoard.expect({ open, pins: plainPins, clock: () => nowMs, tell });
		return { board, news };
	}

	it("and goes in the moment in which it is met is looked for again", async () => {
		const fake = new FakeBoard();
		const { board } = waiting(fake);
		await vi.advanceTimersByTimeAsync(0);
		fake.boot();
		fake.pull();
		await pass(fake, board, 5);
		fake.isThere = true;
		const found = await pass(fake, board, 20);
		expect(fake.opened).toBe(2);
		expect(found.at(-1)?.board?.ageMs).toBeLessThan(300);
	});

	it("and goes away whenever it is opened is opened once a second", async () => {
		const fake = new FakeBoard();
		const { news } = waiting(fake, async () => {
			const line = await fake.open();
			setTimeout(() => line.transport.emit("close"), 1);
			return line;
		});
		await vi.advanceTimersByTimeAsync(10_000);
		expect(fake.opened).toBeGreaterThan(5);
		expect(fake.opened).toBeLessThan(12);
		expect(new Set(news)).toEqual(new Set(["silent: the line closed before the board answered"]));
	});

	it("is let go of where the waiting ends while its line is being opened", async () => {
		const fake = new FakeBoard();
		let opens = () => {};
		const gate = new Promise<void>((resolve) => {
			opens = resolve;
		});
		const { board, news } = waiting(fake, () => gate.then(fake.open));
		board.end();
		opens();
		await vi.advanceTimersByTimeAsync(0);
		// Nobody begins to meet a board on it.
		expect([fake.opened, fake.closed, news.length, vi.getTimerCount()]).toEqual([1, 1, 0, 0]);
	});

	it("is let go of where the waiting ends before it has answered", async () => {
		const fake = new FakeBoard();
		const { board, news } = waiting(fake);
		await vi.advanceTimersByTimeAsync(100);
		board.end();
		await vi.advanceTimersByTimeAsync(0);
		// One is the io's own, which ends within 5 s.
		expect([fake.closed, news.length, vi.getTimerCount()]).toEqual([1, 0, 1]);
	});
});

it("a board whose beat could come by PWM is refused", async () => {
	const fake = new FakeBoard();
	fake.beatHasPwm = true;
	const parts = { open: fake.open, pins: plainPins, clock: () => nowMs };
	const opening = SteadyBoard.open(parts).catch((error: Error) => error.message);
	await vi.advanceTimersByTimeAsync(0);
	fake.boot();
	await vi.advanceTimersByTimeAsync(10);
	expect(await opening).toBe("its pin 4 makes edges by itself: not for the beat");
});
