// The controller outlives its board, for real: one that is plugged in later, reset in mid-run, and
// pulled out and put back. Emulated board, pseudo-terminals, serialport, and one controller process
// from the first to the last line. Times are printed.

import { existsSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { polishSchema } from "../../firmware/cycle/order-schemas.ts";
import type { Status } from "../../firmware/link/protocol.ts";
import { LinkClient } from "../../host/link/client.ts";
import { openLine } from "../../host/link/line.ts";
import { LiveRig, sleep, until } from "./live.ts";

/** From the board's return to a controller that has taken an acknowledgement, s. */
const READY_S_MAX = 10;
const OFF_S_MAX = 2;

const rig = new LiveRig();
let client: LinkClient | undefined;
const status = (): Promise<Status> => {
	if (client === undefined) throw new Error("no link");
	return client.call("status", {});
};

beforeAll(async () => {
	await rig.start();
	await rig.unplug();
	await rig.control();
	client = new LinkClient(await openLine(rig.linkAshore));
}, 60_000);
afterAll(async () => {
	await client?.close();
	await rig.end();
});

const secondsSince = (ms: number) => (Date.now() - ms) / 1_000;

/** Asks until the controller is in a state that is meant. @returns seconds that it took */
async function untilState(isMeant: (state: string) => boolean, secondsMax: number) {
	const began = Date.now();
	while (!isMeant((await status()).state)) {
		if (secondsSince(began) > secondsMax) throw new Error(`not within ${secondsMax} s`);
		await sleep(0.1);
	}
	return secondsSince(began);
}

async function untilPumping(): Promise<void> {
	await until(() => rig.pumpPowered(), 90).catch(async (error: Error) => {
		throw new Error(`${error.message}: ${JSON.stringify(await status())}`);
	});
}

/** Somebody presses the box's button once a second until it is heard. */
async function acknowledge(fromMs: number): Promise<number> {
	while ((await status()).state === "tripped") {
		if (secondsSince(fromMs) > 3 * READY_S_MAX) throw new Error("no acknowledgement was taken");
		rig.do("press");
		await sleep(1);
	}
	return secondsSince(fromMs);
}

let ids = 0;
function nextId(): string {
	ids += 1;
	return `returns-${ids}`;
}

const polish = { tank: "port", litres: 5, attended: true } as const;
async function order(): Promise<{ accepted: boolean; reasons: readonly string[] }> {
	if (client === undefined) throw new Error("no link");
	return client.call("polish", { id: nextId(), polish: polishSchema.parse(polish) });
}

/** The last line of the board's own file in which the motor lost its volts. */
function offMs(): number {
	const off = rig.edges().findLast(({ pumpPowered }) => pumpPowered === false);
	return off?.wallMs ?? Number.POSITIVE_INFINITY;
}

describe("a controller whose board is not there yet", () => {
	it("says so, comes up, and starts nothing", async () => {
		expect(rig.told).toContain(`the board on ${rig.board} is not there; looking for it`);
		expect((await status()).state).toBe("idle");
		const { accepted, reasons } = await order();
		expect(accepted).toBe(false);
		expect(reasons.join()).toContain("board stale");
	});

	it("takes an order within 10 s of its plug", { timeout: 60_000 }, async () => {
		rig.plugIn();
		await until(() => existsSync(rig.board), 5);
		const thereMs = Date.now();
		while (!(await order()).accepted) {
			if (secondsSince(thereMs) > 2 * READY_S_MAX) throw new Error("no order was taken");
			await sleep(0.3);
		}
		const readyS = secondsSince(thereMs);
		console.log(`plugged in: order taken after ${readyS.toFixed(1)} s`);
		expect(readyS).toBeLessThan(READY_S_MAX);
		expect(rig.told).toContain("is back");
	});
});

describe("a board that is reset in mid-run", () => {
	it("has its pump off within 2 s, and is acknowledged within 10 s", {
		timeout: 120_000,
	}, async () => {
		await untilPumping();
		await sleep(2);
		const resetMs = Date.now();
		rig.do("reset");
		await untilState((state) => state === "tripped", 5);
		expect((await status()).trips.map(({ code }) => code)).toEqual(["board-lost"]);
		const offS = (offMs() - resetMs) / 1_000;
		const readyS = await acknowledge(resetMs);
		console.log(
			`reset: pump off after ${offS.toFixed(2)} s, acknowledged after ${readyS.toFixed(1)} s`,
		);
		expect(offS).toBeLessThan(OFF_S_MAX);
		expect(readyS).toBeLessThan(READY_S_MAX);
	});
});

describe("a board that is pulled out in mid-run and put back", () => {
	it("trips at once, and is acknowledged within 10 s of its return", {
		timeout: 120_000,
	}, async () => {
		await untilPumping();
		await sleep(2);
		const pulledMs = Date.now();
		await rig.unplug();
		await untilState((state) => state === "tripped", 5);
		const trippedS = secondsSince(pulledMs);
		expect((await status()).trips.map(({ code }) => code)).toEqual(["board-lost"]);
		await sleep(2);
		// It waits for nobody, and stays tripped.
		expect((await status()).state).toBe("tripped");
		rig.plugIn();
		await until(() => existsSync(rig.board), 5);
		const backMs = Date.now();
		await sleep(3);
		expect((await status()).state).toBe("tripped");
		expect(rig.pumpPowered()).toBe(false);
		const readyS = await acknowledge(backMs);
		const taken = `acknowledged ${readyS.toFixed(1)} s after its return`;
		console.log(`pulled out: tripped after ${trippedS.toFixed(1)} s, ${taken}`);
		expect(trippedS).toBeLessThan(OFF_S_MAX + 1);
		expect(readyS).toBeLessThan(READY_S_MAX);
		expect(await client?.call("stop", { id: nextId() })).toMatchObject({ accepted: true });
		expect(rig.told.match(/has gone/g)).toHaveLength(1);
		expect((await status()).tickLateMsMax).toBeLessThan(1_000);
	});
});
