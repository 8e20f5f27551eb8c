// A real record store with a given log, served by the link's real server, without a rig: what a
// pull sees of a controller. The store's thread is the built one; the ticks are this process's
// timer.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import type { Status } from "../../firmware/link/protocol.ts";
import { lineOf, openSerialLine } from "../../firmware/link/serial-line.ts";
import { LinkServer } from "../../firmware/link/server.ts";
import type { Line } from "../../firmware/link/session.ts";
import type { StoredRecord } from "../../firmware/log/chain.ts";
import { StoreFile } from "../../firmware/log/database.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { Store } from "../../firmware/log/store.ts";
import { projectRoot } from "../../host/cli/root.ts";
import { IDLE } from "../stories/idle-status.ts";
import { NO_SENSES, SHOWN } from "../stories/shown-rig.ts";

const TICK_MS = 100;
const WRITE_AT_ONCE = 5_000;
/** The built thread: a worker does not read TypeScript. */
const worker = pathToFileURL(join(projectRoot, ".build/firmware/log/store-worker.js"));

export class ServedStore {
	readonly store: Store;
	readonly server: LinkServer;
	/** As they are in the file. */
	readonly records: readonly StoredRecord[];
	/** Frames of windows that were asked for. */
	windowFrames = 0;
	private readonly timer: NodeJS.Timeout;
	private readonly ends: Array<() => void> = [];

	private constructor(store: Store, records: readonly StoredRecord[]) {
		this.store = store;
		this.records = records;
		this.server = new LinkServer({
			storeId: store.storeId,
			boot: store.last.boot,
			rig: "Drawn rig",
			status: () => statusOf(store),
			...SHOWN,
			senses: () => NO_SENSES,
			submit: async () => ({ accepted: false, reasons: ["there is no rig"] }),
			durableSeq: () => store.state().durableSeq,
			readBatch: (want) => store.batch(want),
			windows: (after) => store.windows(after),
			window: (seq) => store.window(seq),
			readWindow: (want) => {
				this.windowFrames += 1;
				return store.windowPart(want);
			},
		});
		this.timer = setInterval(() => this.server.everyTick(), TICK_MS);
	}

	/** Writes the log into a new file and serves it. */
	static of(log: readonly LogRecord[]): Promise<ServedStore> {
		return ServedStore.with((store) => {
			for (let at = 0; at < log.length; at += WRITE_AT_ONCE) {
				store.write(log.slice(at, at + WRITE_AT_ONCE), []);
			}
		});
	}

	/** The same with whatever is written. */
	static async with(write: (store: StoreFile) => void): Promise<ServedStore> {
		const file = join(mkdtempSync(join(tmpdir(), "lees-served-")), "log.sqlite");
		const written = new StoreFile(file);
		write(written);
		const records = written.read(1, written.last().seq);
		written.close();
		return new ServedStore(await Store.open(file, { worker }), records);
	}

	/** Serves a serial device. */
	async serveSerial(path: string): Promise<void> {
		const port = await openSerialLine(path, 115_200);
		const session = this.server.open(lineOf(port));
		port.on("data", (bytes: Buffer) => session.push(bytes));
		port.on("drain", () => session.serve());
		port.on("error", () => {});
		this.ends.push(() => port.close(() => {}));
	}

	/** Serves any line. @returns what takes the client's bytes, and tells that there is room again */
	serve(line: Line) {
		return this.server.open(line);
	}

	async close(): Promise<void> {
		clearInterval(this.timer);
		for (const end of this.ends) end();
		await this.store.close();
	}
}

export const statusOf = (store: Store): Status => ({
	...IDLE,
	monoMs: Math.round(performance.now()),
	durableSeq: store.state().durableSeq,
});
