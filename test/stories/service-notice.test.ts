// What a service manager is told: cause and outcome with a time variable and a manager that may not
// take it. That the sign of life comes from the tick alone: where none ends, nothing is sent.

import { describe, expect, it, vi } from "vitest";
import type { Status } from "../../firmware/link/protocol.ts";
import { findManager, ServiceNotice, statusWords } from "../../host/cli/service-notice.ts";

function build(patienceMs: number | null) {
	const sent: string[] = [];
	const world = { nowMs: 0, takes: true, words: "idle; pump off" };
	const notice = new ServiceNotice({
		send: (text) => world.takes && sent.push(text) > 0,
		patienceMs,
		clock: () => world.nowMs,
		status: () => world.words,
	});
	const ticks = (count: number) => {
		for (let i = 0; i < count; i += 1) {
			world.nowMs += 100;
			notice.tickEnded();
		}
		return sent.splice(0);
	};
	return { notice, world, ticks, sent };
}

describe("signs of life", () => {
	it("come five in the manager's patience, ready with the first tick", () => {
		const { ticks } = build(10_000);
		expect(ticks(1)).toEqual(["READY=1\nWATCHDOG=1\nSTATUS=idle; pump off"]);
		expect(ticks(100)).toEqual(Array(5).fill("WATCHDOG=1"));
		expect(build(2_000).ticks(20).length).toBe(5);
	});

	it("end with the ticks, whatever else goes on", () => {
		vi.useFakeTimers();
		try {
			const { ticks, world, sent } = build(10_000);
			expect(ticks(1).length).toBe(1);
			world.nowMs += 60_000;
			vi.advanceTimersByTime(60_000);
			expect(sent).toEqual([]);
			expect(vi.getTimerCount()).toBe(0);
		} finally {
			vi.useRealTimers();
		}
	});

	it("are left out where nobody watches; a change of state is told all the same", () => {
		const { ticks, world } = build(null);
		expect(ticks(1)).toEqual(["READY=1\nSTATUS=idle; pump off"]);
		expect(ticks(100)).toEqual([]);
		world.words = "priming;\n pump asked for";
		expect(ticks(20)).toEqual(["STATUS=priming; pump asked for"]);
	});

	it("are sent again where the manager did not take them", () => {
		const { ticks, world } = build(10_000);
		world.takes = false;
		expect(ticks(100)).toEqual([]);
		world.takes = true;
		expect(ticks(20)[0]).toMatch(/^READY=1\nWATCHDOG=1\nSTATUS=/);
	});

	it("are followed by the end", () => {
		const { notice, sent } = build(10_000);
		notice.stopping();
		expect(sent[0]).toMatch(/^STOPPING=1\n/);
	});
});

describe("the status line", () => {
	const idle = { state: "idle", trips: [], heldFor: [], pumpDemanded: false, logFailed: false };
	const words = (change: object, isProven = true) =>
		statusWords({ ...idle, ...change } as unknown as Status, isProven);

	it("says state, reason, pump, board and log", () => {
		expect(words({})).toBe("idle; pump off");
		expect(words({ state: "polishing", pumpDemanded: true })).toBe("polishing; pump asked for");
		const trips = [{ code: "dry-run", cause: "air" }, { code: "board-lost" }];
		expect(words({ state: "tripped", trips }, false)).toBe(
			"tripped: dry-run, board-lost; pump off; the board does not answer",
		);
		expect(words({ state: "held", heldFor: ["too-cold"], logFailed: true })).toBe(
			"held for too-cold; pump off; the log has failed",
		);
	});
});

describe("the manager", () => {
	const find = (env: Record<string, string>) => {
		const told: string[] = [];
		return { found: findManager(env, (words) => told.push(words)), told };
	};

	it("is none without its socket, and nothing is said", () => {
		expect(find({})).toEqual({ found: null, told: [] });
		expect(find({ WATCHDOG_USEC: "10000000", LEES_NOTIFY_FD: "3" }).found).toBe(null);
	});

	it.each(["", "x", "1", "9999", "-3", "3.5"])("that handed down %j is told nothing", (fd) => {
		const { found, told } = find({ NOTIFY_SOCKET: "/run/x", LEES_NOTIFY_FD: fd });
		expect(found).toBe(null);
		expect(told.join()).toContain("the service manager is told nothing");
	});
});
