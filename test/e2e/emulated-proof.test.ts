// What the emulated board's runs may be relied on for: they repeat to the last edge and byte,
// whatever else the machine does, and nothing that goes by the wall's clock would stay unseen; and
// an I2C device that is absent is never taken for another one.

import { fork, spawn } from "node:child_process";
import { setTimeout as sleep } from "node:timers/promises";
import { beforeAll, describe, expect, it } from "vitest";
import { benchAccount } from "../../host/report/bench-account.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import type { Scenario } from "../../sim/bench/scenario.ts";
import type { EmulatedRun } from "../../sim/emulated-board/lockstep.ts";
import { pins, root } from "../stories/world.ts";
import type { Spoil, WatchedJob, WatchedRun } from "./watched-run.ts";

const child = `${root}/.build/test/e2e/watched-run.js`;
const WALL_MS_MAX = 240_000;

const loaded = (name: string) => loadScenario(findScenario(root, name));

interface Watch {
	readonly seed?: number;
	readonly spoil?: Spoil;
	readonly channels?: readonly string[];
}

function watch(
	name: string,
	{ seed, spoil = "nothing", channels = [] }: Watch,
	scenario: Scenario,
) {
	const { rig } = loaded(name);
	const job: WatchedJob = {
		scenario,
		rig,
		pins,
		seed: seed ?? scenario.seed,
		spoil,
		channels,
	};
	return new Promise<WatchedRun>((resolve, reject) => {
		const process = fork(child, { stdio: ["ignore", "inherit", "inherit", "ipc"] });
		process.once("message", (answer: { run: WatchedRun } | { failure: string }) => {
			if ("run" in answer) resolve(answer.run);
			else reject(new Error(answer.failure));
		});
		process.once("exit", (code) => reject(new Error(`the watched run ended with ${code}`)));
		process.send(job);
	});
}

describe("a run repeats", () => {
	const name = "water-under-the-tube";
	/** The proofs of both contacts are in it, and the pump's first seconds. */
	const scenario: Scenario = { ...loaded(name).scenario, hoursMax: 20 / 3_600 };
	const play = async (options: Watch = {}) => (await watch(name, options, scenario)).run;
	const account = (run: EmulatedRun) =>
		benchAccount(run, sumUp(name, run, 0))
			.map(({ text }) => text)
			.join("\n");
	let first: EmulatedRun;

	beforeAll(async () => {
		first = await play();
	}, WALL_MS_MAX);

	it(
		"twice at once beside a busy process: same pin edges, serial bytes and account",
		async () => {
			const busy = spawn(process.execPath, ["-e", "for (;;);"], { stdio: "ignore" });
			// One of them begins while the other is in its boot.
			const late = sleep(150).then(() => play());
			const runs = await Promise.all([play(), late]).finally(() => busy.kill("SIGKILL"));
			for (const run of runs) {
				expect(run.hashes).toEqual(first.hashes);
				expect(run.edges).toEqual(first.edges);
				expect(account(run)).toBe(account(first));
			}
			expect(account(first)).toContain(first.hashes.bytes);
			expect(first.edges.some(({ channel, high }) => channel === "pump-demand" && high)).toBe(true);
		},
		WALL_MS_MAX,
	);

	it(
		"another seed gives other bytes",
		async () => {
			expect((await play({ seed: scenario.seed + 1 })).hashes.bytes).not.toBe(first.hashes.bytes);
		},
		WALL_MS_MAX,
	);

	it(
		"messages that wait for the wall's clock are found",
		async () => {
			const runs = [await play({ spoil: "clock" }), await play({ spoil: "clock" })];
			const hashes = [first, ...runs].map(({ hashes: { bytes } }) => bytes);
			expect(new Set(hashes).size).toBe(3);
		},
		WALL_MS_MAX,
	);
});

const converted = Object.entries(pins.channels)
	.filter(([, { kind }]) => kind === "converter")
	.map(([name]) => name)
	// The example rig has no second tap.
	.filter((name) => loaded("converter-missing").rig.sensors.some((sensor) => sensor === name));
const monitored = ["supply-volts", "motor-current"];

describe.each([
	["converter", converted],
	["monitor", monitored],
] as const)("the %s", (device, channels) => {
	it(
		"absent from the beginning: nothing is ever read of it",
		async () => {
			const name = `${device}-missing`;
			const { readings, warnings } = await watch(name, { channels }, loaded(name).scenario);
			expect(warnings).toBeGreaterThan(50);
			expect(readings.length).toBeGreaterThan(100);
			expect(readings.flat().every((reading) => reading === null)).toBe(true);
		},
		WALL_MS_MAX,
	);

	it(
		"its plug off for a while: its channels only age, then are read anew",
		async () => {
			const name = `${device}-plug-off`;
			const { scenario } = loaded(name);
			const watched = await watch(name, { channels }, scenario);
			const { readings, warnings, run } = watched;
			expect(warnings).toBeGreaterThan(30);
			const [{ atSeconds: offS = 0, forSeconds: offForS = 0 } = {}] = scenario.faults;
			// The tick of the fault itself still reads what came before it.
			const off = offS * 10;
			const on = off + offForS * 10;
			const last = readings[off] ?? [];
			expect(foreign(readings, off, on)).toEqual([]);
			expect(last).not.toContain(null);
			channels.forEach((channel, i) => {
				const [before, at, back] = [off - 1, on, on + 15].map((tick) => readings[tick]?.[i]);
				expect([channel, (before?.ageMs ?? 1e9) <= 500]).toEqual([channel, true]);
				expect([channel, (at?.ageMs ?? 0) >= offForS * 1_000]).toEqual([channel, true]);
				expect([channel, (back?.ageMs ?? 1e9) <= 500]).toEqual([channel, true]);
			});
			const trips = sumUp(name, run, 0).trips;
			expect(trips.map(({ code }) => code)).toEqual(["sensor-fault"]);
		},
		WALL_MS_MAX,
	);
});

it(
	"bytes of another device are found where the board's warnings are not heard",
	async () => {
		const name = "converter-plug-off";
		const whole = loaded(name).scenario;
		const [fault] = whole.faults;
		const scenario: Scenario = {
			...whole,
			faults: fault === undefined ? [] : [{ ...fault, atSeconds: 3 }],
			hoursMax: 7 / 3_600,
		};
		const { readings, warnings } = await watch(
			name,
			{ channels: converted, spoil: "deaf" },
			scenario,
		);
		expect(warnings).toBeGreaterThan(30);
		expect(foreign(readings, 30, 70).length).toBeGreaterThan(10);
	},
	WALL_MS_MAX,
);

/** What was read from a tick until another one and is not that tick's reading grown old. */
function foreign(readings: WatchedRun["readings"], from: number, to: number): string[] {
	const last = readings[from] ?? [];
	return readings.slice(from + 1, to + 1).flatMap((row, i) =>
		row.flatMap((reading, channel) => {
			const old = last[channel];
			const isOld =
				reading?.raw === old?.raw && reading?.ageMs === (old?.ageMs ?? 0) + 100 * (i + 1);
			return isOld ? [] : [`channel ${channel} at tick ${from + 1 + i}: ${reading?.raw}`];
		}),
	);
}
