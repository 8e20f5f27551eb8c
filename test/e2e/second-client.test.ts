// A client in another language, written from the link's page alone, pulls a log: over a socket and
// a pseudo-terminal, whole, from a file cut off in mid-line, and over a line that loses bytes.

import { spawn } from "node:child_process";
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { StoreFile } from "../../firmware/log/database.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import { linked, logOf, sampleTexts } from "../stories/link-rig.ts";
import { root } from "../stories/world.ts";
import { LiveRig, until } from "./live.ts";

const script = join(root, "test/link-client/pull.py");
const folder = mkdtempSync(join(tmpdir(), "lees-python-"));
const file = (name: string) => join(folder, name);

function pull(port: string, to: string): Promise<{ status: number | null; said: string }> {
	const child = spawn("python3", ["-B", script, port, file(to)]);
	let said = "";
	for (const stream of [child.stdout, child.stderr]) {
		stream.on("data", (text: Buffer) => {
			said += text.toString();
		});
	}
	return new Promise((resolve) => child.on("close", (status) => resolve({ status, said })));
}

const linesOf = (name: string) => readFileSync(file(name), "utf8").split("\n").slice(0, -1);

/** Text that hardly packs: fifth powers modulo a prime. */
const letter = (i: number) => String.fromCharCode(35 + (((i + 1) ** 5 % 10_007) % 57));

/** An invented log: a refusal too large for a frame, a run that is thinned, one that stays. */
function fill(path: string): void {
	const head = (seq: number) => ({ seq, boot: 1, monoMs: seq });
	const run = { motorMs: 0, pulses: 0 };
	const reasons = [Array.from({ length: 3_000 }, (_, i) => letter(i)).join(""), "wärmer als −5 °C"];
	const records: LogRecord[] = [{ ...head(1), kind: "order-refused", id: "a", reasons }];
	const addSamples = (count: number) => {
		for (const text of sampleTexts(count)) {
			const sample = readRecord(text);
			if (sample !== null) records.push({ ...sample, seq: records.length + 1 });
		}
	};
	addSamples(9_000);
	records.push({
		...head(records.length + 1),
		kind: "run-end",
		outcome: "finished",
		reasons: [],
		run,
	});
	addSamples(1_500);
	records.push({ ...head(records.length + 1), kind: "stop", by: "b" });
	const store = new StoreFile(path, 1_000_000);
	store.write(records, []);
	for (let n = 0; n < 1_000 && store.isUntidy(); n += 1) store.tidy();
	store.close();
}

describe("a second client", () => {
	const rig = new LiveRig();
	beforeAll(async () => {
		mkdirSync(rig.log);
		fill(join(rig.log, "log.sqlite"));
		await rig.start();
	}, 30_000);
	afterAll(() => rig.end());

	it("pulls what the store holds, letter by letter", { timeout: 120_000 }, async () => {
		const socket = file("link");
		const controller = await rig.control([], "model", ["--socket", socket]);
		expect(await pull(socket, "by-socket")).toMatchObject({ status: 0 });
		expect(await pull(rig.linkAshore, "by-line")).toMatchObject({ status: 0 });

		const whole = readFileSync(file("by-socket"));
		for (const share of [0.0005, 0.3, 0.999]) {
			writeFileSync(file("cut"), whole.subarray(0, Math.floor(share * whole.length)));
			expect(await pull(socket, "cut")).toMatchObject({ status: 0 });
			expect(linesOf("cut").slice(0, linesOf("by-socket").length)).toEqual(linesOf("by-socket"));
		}

		controller.kill("SIGTERM");
		await until(() => controller.exitCode !== null, 10);
		const store = new StoreFile(join(rig.log, "log.sqlite"));
		const texts = store.read(1, 100_000).map(({ json }) => json);
		store.close();
		for (const name of ["by-socket", "by-line"]) {
			const lines = linesOf(name);
			expect(lines).toEqual(texts.slice(0, lines.length));
			expect(lines.filter((line) => line.includes('"kind":"digest"')).length).toBeGreaterThan(3);
			expect(lines.filter((line) => line.includes('"kind":"sample"')).length).toBeGreaterThan(
				1_000,
			);
			expect(lines.at(-1)).toContain(`"boot":2`);
		}
	});
});

describe("over a line that loses bytes", () => {
	const texts = sampleTexts(6_000);
	const { server } = linked(logOf(texts));
	/** One byte in so many, by a seeded draw, is another one or is not there. */
	const everyBytes = 2_500;
	let state = 20_261_130;
	let spoilt = 0;
	const noisy = createServer((socket) => {
		const session = server.open({
			write: (bytes) => {
				const kept = [...bytes].flatMap((byte) => {
					// Park and Miller's generator; its constants from memory.
					state = (state * 48_271) % 2_147_483_647;
					if (state % everyBytes !== 0) return [byte];
					spoilt += 1;
					return spoilt % 2 === 0 ? [] : [byte ^ 0x20];
				});
				socket.write(Buffer.from(kept));
			},
			waiting: () => socket.writableLength,
			drop: () => socket.destroy(),
		});
		socket.on("data", (bytes: Buffer) => session.push(bytes));
		socket.on("drain", () => session.serve());
		socket.on("error", () => {});
		socket.on("close", () => server.close(session));
	});
	const ticks = setInterval(() => server.everyTick(), 100);
	afterAll(() => {
		clearInterval(ticks);
		noisy.close();
	});

	it("the log comes whole", { timeout: 60_000 }, async () => {
		await new Promise<void>((resolve) => noisy.listen(file("noisy"), resolve));
		expect(await pull(file("noisy"), "by-noise")).toMatchObject({ status: 0 });
		expect(spoilt).toBeGreaterThan(5);
		expect(linesOf("by-noise")).toEqual(texts);
	});

	it("a file of another log is left as it was", { timeout: 60_000 }, async () => {
		const other = JSON.stringify({ seq: 1, boot: 1, monoMs: 1, v: 1, kind: "drain-seen" });
		writeFileSync(file("other"), `${other}\n`);
		copyFileSync(file("other"), file("before"));
		expect(await pull(file("noisy"), "other")).toMatchObject({ status: 1 });
		expect(linesOf("other")).toEqual(linesOf("before"));
	});
});
