// Messages ashore with real programs and a real server on this computer: hooks that hang, fail,
// chatter or leave something behind, an address that is down and comes up. Who feeds them never
// waits and never hears of it.

import { chmodSync, existsSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { createServer, type Server } from "node:http";
import { type AddressInfo, createServer as createTcpServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import type { Status } from "../../firmware/link/protocol.ts";
import type { HookSettings } from "../../host/bridges/hook-settings.ts";
import { TripHooks } from "../../host/bridges/trip-hooks.ts";
import type { LinkState } from "../../host/web/scene.ts";
import { IDLE } from "../stories/idle-status.ts";
import { sleep, until } from "./live.ts";

const UP: LinkState = { isUp: true, heardAgoMs: 100, why: "" };
const TIMES = { timeoutMs: 600, killMs: 200 };
const RETRY_MS = 40;

const folder = mkdtempSync(join(tmpdir(), "lees-hooks-"));
let made = 0;
const ends: Array<() => unknown> = [];
afterEach(async () => {
	for (const end of ends.splice(0)) await end();
});

/** A program of the test's own; it leaves lines in the file. */
function program(script: (file: string) => string) {
	made += 1;
	const path = join(folder, `hook ${made}`);
	const file = join(folder, `lines-${made}`);
	writeFileSync(path, `#!/bin/sh\n${script(`"${file}"`)}\n`);
	chmodSync(path, 0o755);
	const lines = () => (existsSync(file) ? readFileSync(file, "utf8").trim().split("\n") : []);
	return { path, lines };
}

function hooks(settings: Partial<HookSettings>) {
	const told: string[] = [];
	const none = { command: null, webhook: null, againMs: null };
	// Each look is two minutes after the one before: none waits for its turn.
	let nowMs = 0;
	const clock = () => {
		nowMs += 120_000;
		return nowMs;
	};
	const parts = { tell: (line: string) => told.push(line), clock, times: TIMES, retryMs: RETRY_MS };
	const all = new TripHooks({ ...none, ...settings }, parts);
	ends.push(() => all.end());
	const trips = (...codes: string[]) => {
		const open = codes.map((code) => ({ code, cause: "some cause" }));
		const status: Status = { ...IDLE, trips: open };
		all.onScene(status, UP, "teal-willow");
	};
	return { all, told, trips };
}

/** An address that keeps what it gets, and answers as it is told. */
async function address(answer: (count: number) => number = () => 204, port = 0) {
	const got: Array<Record<string, string>> = [];
	const heads: Array<Record<string, unknown>> = [];
	const server: Server = createServer((request, response) => {
		let body = "";
		request.on("data", (bytes: Buffer) => {
			body += bytes.toString();
		});
		request.on("end", () => {
			got.push(JSON.parse(body));
			heads.push({ method: request.method, url: request.url, ...request.headers });
			const status = answer(got.length);
			response.writeHead(status, status === 302 ? { location: "/elsewhere" } : {});
			response.end("{}");
		});
	});
	await new Promise<void>((resolve) => server.listen(port, "127.0.0.1", resolve));
	const url = new URL(`http://127.0.0.1:${(server.address() as AddressInfo).port}/secret?key=1`);
	const close = () =>
		new Promise<void>((resolve) => {
			server.closeAllConnections();
			server.close(() => resolve());
		});
	ends.push(close);
	return { got, heads, url, close };
}

describe("a program", () => {
	it("finds all of it in its environment, as words and never as a command", async () => {
		const names = ["EVENT", "RIG", "TRIP", "CAUSE", "TO_DO", "AT"].map((name) => `$LEES_${name}`);
		const { path, lines } = program(
			(file) => `printf '%s\\n' "${names.join("|")}" "$#" >> ${file}`,
		);
		const { all, told } = hooks({ command: path });
		const cause = "$(touch pwned) `touch pwned`; \n\u0000 'wet'";
		all.onScene({ ...IDLE, trips: [{ code: "leak", cause }] }, UP, "teal-willow");
		await until(() => lines().length === 2, 10);
		const [line = "", count] = lines();
		const [event, rig, trip, said, toDo, at] = line.split("|");
		expect([event, rig, trip, count]).toEqual(["trip", "teal-willow", "leak", "0"]);
		expect(said).toBe("$(touch pwned) `touch pwned`; ?? 'wet'");
		expect(toDo).toMatch(/^isolator off.*Then acknowledge at the box\.$/);
		expect(Math.abs(Date.parse(at ?? "") - Date.now())).toBeLessThan(60_000);
		expect(told).toEqual([]);
	});

	it("that hangs is ended, and the next message gets its turn", async () => {
		const { path, lines } = program(
			(file) =>
				`echo "$LEES_TRIP" >> ${file}; trap '' TERM; [ "$LEES_TRIP" = leak ] && sleep 60; :`,
		);
		const { told, trips } = hooks({ command: path });
		const begunMs = performance.now();
		trips("leak");
		trips("leak", "dry-run");
		expect(performance.now() - begunMs).toBeLessThan(300);
		await until(() => lines().length === 2, 10);
		expect(lines()).toEqual(["leak", "dry-run"]);
		expect(told).toEqual([`the program ${path}: it did not end within 0.6 s; "trip" is not told`]);
	});

	it("runs alone: the second begins when the first has ended", async () => {
		const { path, lines } = program(
			(file) => `echo "begin" >> ${file}; sleep 0.1; echo "end" >> ${file}`,
		);
		const { trips } = hooks({ command: path });
		trips("leak");
		trips("leak", "dry-run");
		await until(() => lines().length === 4, 10);
		expect(lines()).toEqual(["begin", "end", "begin", "end"]);
	});

	it("that fails is told with the first line of its complaint", async () => {
		const { path } = program(() => "echo 'no route' >&2; echo more >&2; exit 3");
		const { told, trips } = hooks({ command: path });
		trips("leak");
		await until(() => told.length === 1, 10);
		expect(told[0]).toBe(
			`the program ${path}: it ended with status 3: no route; "trip" is not told`,
		);
	});

	it.each([
		["is killed", "kill -9 $$", "it ended with SIGKILL"],
		["chatters without end", "yes >&2 & yes & sleep 60", "it did not end within 0.6 s: y"],
	])("that %s harms nobody", async (_, script, why) => {
		const { path } = program(() => script);
		const { told, trips } = hooks({ command: path });
		trips("leak");
		await until(() => told.length === 1, 10);
		expect(told[0]).toContain(why);
	});

	it("that leaves something behind which holds its output has ended all the same", async () => {
		const { path, lines } = program((file) => `echo "$LEES_TRIP" >> ${file}; sleep 3 &`);
		const { told, trips } = hooks({ command: path });
		trips("leak");
		trips("leak", "dry-run");
		await until(() => lines().length === 2, 2);
		expect(told).toEqual([]);
	});

	it("that is not there any more is told, and nothing is thrown", async () => {
		const { told, trips } = hooks({ command: join(folder, "gone") });
		trips("leak");
		await until(() => told.length === 1, 10);
		expect(told[0]).toContain("it cannot be started: ");
	});

	it("that hangs does not hold up the end", async () => {
		const { path } = program(() => "trap '' TERM; sleep 60");
		const { all, trips } = hooks({ command: path });
		trips("leak");
		await sleep(0.1);
		const begunMs = performance.now();
		await all.end();
		expect(performance.now() - begunMs).toBeLessThan(3_000);
	});
});

describe("an address", () => {
	it("gets each message once, as JSON by POST", async () => {
		const { got, heads, url } = await address();
		const { told, trips } = hooks({ webhook: url });
		trips("leak");
		trips("leak");
		trips("leak", "dry-run");
		await until(() => got.length === 2, 10);
		await sleep(0.1);
		expect(got.map(({ trip }) => trip)).toEqual(["leak", "dry-run"]);
		expect(Object.keys(got[0] ?? {}).sort()).toEqual(
			["at", "cause", "event", "id", "rig", "toDo", "trip"].sort(),
		);
		expect(heads[0]).toMatchObject({
			method: "POST",
			url: "/secret?key=1",
			"content-type": "application/json",
		});
		expect(told).toEqual([]);
	});

	it("that is down and comes up gets what happened meanwhile, the oldest first", async () => {
		const { url, close } = await address();
		await close();
		const { told, trips } = hooks({ webhook: url });
		trips("leak");
		trips("leak", "dry-run");
		await until(() => told.length === 1, 10);
		await sleep(0.3);
		const { got } = await address(undefined, Number(url.port));
		await until(() => got.length === 2, 10);
		await until(() => told.length === 2, 10);
		expect(got.map(({ trip }) => trip)).toEqual(["leak", "dry-run"]);
		// Where it fails and where it comes back, without the path, which may be a secret.
		expect(told).toEqual([
			`the webhook at ${url.origin}: no answer (ECONNREFUSED); it is tried again`,
			`the webhook at ${url.origin}: takes messages again`,
		]);
	});

	it("that cannot take it just now is asked again with the same message", async () => {
		const { got, url } = await address((count) => (count < 4 ? 503 : 200));
		const { told, trips } = hooks({ webhook: url });
		trips("leak");
		await until(() => got.length === 4, 10);
		await sleep(0.2);
		expect(new Set(got.map(({ id }) => id)).size).toBe(1);
		expect(got.length).toBe(4);
		expect(told[0]).toContain("it answers with 503; it is tried again");
	});

	it("that refuses one is not asked again, and hears of the next", async () => {
		const { got, url } = await address((count) => (count === 1 ? 400 : 200));
		const { told, trips } = hooks({ webhook: url });
		trips("leak");
		await until(() => told.length === 1, 10);
		expect(told[0]).toContain('it answers with 400; "trip" is not told');
		trips("leak", "dry-run");
		await until(() => got.length === 2, 10);
		expect(got.map(({ trip }) => trip)).toEqual(["leak", "dry-run"]);
	});

	it("that sends elsewhere is not followed", async () => {
		const { heads, url } = await address((count) => (count === 1 ? 302 : 200));
		const { trips } = hooks({ webhook: url });
		trips("leak");
		await until(() => heads.length === 2, 10);
		expect(heads.map((head) => head.url)).toEqual(["/secret?key=1", "/secret?key=1"]);
	});

	it("that takes the line and says nothing holds nobody up, not at the end either", async () => {
		const silent = createTcpServer(() => {});
		await new Promise<void>((resolve) => silent.listen(0, "127.0.0.1", resolve));
		ends.push(() => void silent.close());
		const url = new URL(`http://127.0.0.1:${(silent.address() as AddressInfo).port}/`);
		const { all, trips } = hooks({ webhook: url });
		trips("leak");
		await sleep(0.1);
		const begunMs = performance.now();
		await all.end();
		expect(performance.now() - begunMs).toBeLessThan(3_000);
	});
});

describe("a flood while nothing gets through", () => {
	it("keeps the newest trips, a bounded number of them", async () => {
		const { url, close } = await address();
		await close();
		const { all, told, trips } = hooks({ webhook: url });
		// Every look is two minutes on, so that two in three are let through.
		for (let n = 0; n < 200; n += 1) trips(`trip-${n}`);
		await until(() => told.length === 2, 10);
		expect(told.join("\n")).toContain("the oldest messages are thrown away");
		const { got } = await address(undefined, Number(url.port));
		await until(() => got.length === 20, 10);
		await sleep(0.2);
		expect(got.length).toBe(20);
		const numbers = got.map(({ trip = "" }) => Number(trip.split("-")[1]));
		expect(numbers).toEqual([...numbers].sort((a, b) => a - b));
		expect(numbers.at(0)).toBeGreaterThan(150);
		await all.end();
	});
});
