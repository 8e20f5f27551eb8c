// A log that is followed while its controller is killed again and again, at drawn moments between
// sending and writing: the archive never has a record that the store has not.

import { type ChildProcess, spawn } from "node:child_process";
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, describe, expect, it } from "vitest";
import { StoreFile } from "../../firmware/log/database.ts";
import { Archive } from "../../host/archive/archive.ts";
import { pull } from "../../host/archive/pull.ts";
import { openLine } from "../../host/link/line.ts";
import { SteadyLink } from "../../host/link/steady-link.ts";
import { Dice } from "../../sim/bench/campaign/dice.ts";
import { root } from "../stories/world.ts";
import { sleep, until } from "./live.ts";

const KILLS = 25;
const writer = join(root, ".build/test/e2e/live-writer.js");

class Writer {
	readonly folder = mkdtempSync(join(tmpdir(), "lees-killed-"));
	readonly file = join(this.folder, "log.sqlite");
	readonly socket = join(this.folder, "socket");
	/** What the store had when it was opened last. */
	found = { storeId: "", last: 0 };
	private child: ChildProcess | null = null;

	async start(mode: "durable" | "ahead"): Promise<void> {
		const child = spawn(process.execPath, [writer, this.file, this.socket, "5", mode], {
			stdio: ["ignore", "pipe", "inherit"],
		});
		this.child = child;
		let said = "";
		child.stdout.on("data", (bytes: Buffer) => {
			said += bytes.toString();
		});
		await until(() => said.includes("\n"), 20);
		this.found = JSON.parse(said);
	}

	async kill(): Promise<void> {
		const { child } = this;
		this.child = null;
		if (child === null) return;
		child.kill("SIGKILL");
		await until(() => child.signalCode !== null || child.exitCode !== null, 10);
	}
}

const closers: Array<() => unknown> = [];
afterEach(async () => {
	for (const close of closers.splice(0).reverse()) await close();
});

async function follow(mode: "durable" | "ahead") {
	const process = new Writer();
	await process.start(mode);
	closers.push(() => process.kill());
	const open = { patienceMs: 20_000, listPorts: async () => [], open: openLine };
	const stop = new AbortController();
	const link = await SteadyLink.open(process.socket, { ...open, signal: stop.signal });
	const archive = new Archive(join(process.folder, "archive.sqlite"), { create: true });
	closers.push(
		() => archive.close(),
		() => link.close(),
	);
	const pulling = pull({
		...{ link, archive, follow: true, signal: stop.signal },
		onProgress: () => {},
		onLost: () => {},
	});
	// Whoever waits for it sees why it failed; until then nobody does.
	pulling.catch(() => {});
	return { process, archive, stop, pulling };
}

describe("a controller that is killed while its log is followed", () => {
	it("has in its store all that the archive has", { timeout: 120_000 }, async () => {
		const { process, archive, stop, pulling } = await follow("durable");
		const dice = new Dice(11, "kills");
		const { storeId } = process.found;
		let live = 0;
		for (let n = 0; n < KILLS; n += 1) {
			const before = archive.last(storeId)?.seq ?? 0;
			await sleep(dice.whole(300, 900) / 1_000);
			await process.kill();
			const has = archive.last(storeId)?.seq ?? 0;
			if (has > before) live += 1;
			await process.start("durable");
			expect(process.found.storeId).toBe(storeId);
			expect(process.found.last).toBeGreaterThanOrEqual(has);
		}
		await until(() => (archive.last(storeId)?.seq ?? 0) > process.found.last, 20);
		await process.kill();
		stop.abort();
		const pulled = await pulling;
		const store = new StoreFile(process.file);
		const stored = store.read(1, 1_000_000);
		store.close();
		let same = 0;
		for (const { seq, text } of archive.texts(storeId)) {
			expect(text).toBe(stored[seq - 1]?.json);
			same += 1;
		}
		console.log(
			`${KILLS} kills, ${live} of them while records came; ${same} records in the archive, ` +
				`${stored.length} in the store`,
		);
		expect(same).toBe(pulled.records);
		expect(archive.chainAt(storeId, same)).toBe(stored[same - 1]?.chain);
		expect(live).toBeGreaterThan(KILLS / 2);
	});

	it("is seen when it sends what is not on disk yet", { timeout: 60_000 }, async () => {
		const { process, archive, pulling } = await follow("ahead");
		const { storeId } = process.found;
		const dice = new Dice(12, "kills");
		let lacks = 0;
		for (let n = 0; n < 5 && lacks === 0; n += 1) {
			await until(() => (archive.last(storeId)?.seq ?? 0) > process.found.last + 20, 20);
			await sleep(dice.whole(1, 90) / 1_000);
			await process.kill();
			const has = archive.last(storeId)?.seq ?? 0;
			await process.start("ahead");
			lacks = has - process.found.last;
		}
		expect(lacks).toBeGreaterThan(0);
		await expect(pulling).rejects.toThrow(/where the archive has record|follow/);
	});
});
