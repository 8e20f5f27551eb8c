// The link's server in memory: a host whose log is a list, and clients on lines that a test can let
// fill up. All above the line is real: frames, budget, sessions, transfers, batches.

import { crc32 } from "node:zlib";
import type { Command } from "../../firmware/cycle/commands.ts";
import { type Batch, decodeLogPayload, isLogPayload } from "../../firmware/link/batch.ts";
import { FrameFiller } from "../../firmware/link/frame-filler.ts";
import { FrameReader, FrameWriter } from "../../firmware/link/framing.ts";
import { type Decision, type LogPause, WINDOWS_LISTED } from "../../firmware/link/protocol.ts";
import { type LinkHost, LinkServer } from "../../firmware/link/server.ts";
import type { LinkSession } from "../../firmware/link/session.ts";
import {
	decodeWindowPart,
	encodeWindowPart,
	isWindowPayload,
	type WindowPart,
	wholeWindow,
} from "../../firmware/link/window-part.ts";
import { chained, type StoredRecord } from "../../firmware/log/chain.ts";
import { IDLE } from "./idle-status.ts";
import { NO_SENSES, SHOWN } from "./shown-rig.ts";

/** Long enough for a frame to be read from the store and put on the line. */
export const settle = () => new Promise<void>((resolve) => setTimeout(resolve, 5));

export const STORE_ID = "00000000-0000-4000-8000-000000000001";

/** The texts with their numbers and chain, from record 1 on. */
export function logOf(texts: readonly string[]): StoredRecord[] {
	let chain = STORE_ID;
	return texts.map((json, i) => {
		chain = chained(chain, json);
		return { seq: i + 1, json, chain };
	});
}

/** So many samples of a steady run with invented noise, from record 1 on. */
export function sampleTexts(count: number, boot = 1): string[] {
	let state = 48_271;
	/** Near 0, of so many steps up and down at most: the sum of three draws. */
	const noise = (steps: number) => {
		let sum = 0;
		for (let n = 0; n < 3; n += 1) {
			// Park and Miller's generator; its constants from memory.
			state = (state * 48_271) % 2_147_483_647;
			sum += state / 2_147_483_647 - 0.5;
		}
		return Math.round(sum * steps);
	};
	let monoMs = 5_000;
	let run = { motorMs: 0, pulses: 0 };
	return Array.from({ length: count }, (_, i) => {
		monoMs += 1_000 + noise(1);
		run = { motorMs: run.motorMs + 1_000, pulses: run.pulses + 11 + noise(1) };
		const head = { seq: i + 1, boot, monoMs, v: 2, kind: "sample" };
		return JSON.stringify({
			...head,
			flowLph: (905 + noise(12)) / 10,
			vacuumKpa: (1_450 + noise(20)) / 100,
			supplyVolts: (1_260 + noise(2)) / 100,
			motorAmps: (180 + noise(3)) / 100,
			fuelC: (150 + noise(1)) / 10,
			run,
		});
	});
}

interface Answer {
	readonly id: number | null;
	readonly result?: unknown;
	readonly error?: { readonly code: number };
}

/** A client of the server on a line of its own. */
class MemoryClient {
	readonly answers: Answer[] = [];
	readonly batches: Batch[] = [];
	readonly parts: Array<Exclude<ReturnType<typeof decodeLogPayload>, Batch>> = [];
	readonly pauses: LogPause[] = [];
	readonly windowParts: WindowPart[] = [];
	/** Raw bytes of every write. */
	readonly writes: Buffer[] = [];
	/** It does not read: what is written stays on the line. */
	isStuck = false;
	/** What is written on it from now on fails. */
	isBroken = false;
	drops = 0;
	private onLine = 0;
	private readonly session: LinkSession;
	private readonly writer = new FrameWriter((bytes) => this.session.push(bytes));
	private readonly reader = new FrameReader((payload) => this.hear(payload));

	constructor(server: LinkServer) {
		this.session = server.open({
			write: (bytes) => {
				if (this.isBroken) throw new Error("the line is broken");
				this.writes.push(bytes);
				if (this.isStuck) this.onLine += bytes.length;
				else this.reader.push(bytes);
			},
			waiting: () => this.onLine,
			drop: () => {
				this.drops += 1;
			},
		});
	}

	/** Raw bytes, as they are. */
	push(bytes: Uint8Array): void {
		this.session.push(bytes);
	}

	send(message: unknown): void {
		this.writer.send(Buffer.from(typeof message === "string" ? message : JSON.stringify(message)));
	}

	async ask(id: number, method: string, params: unknown): Promise<void> {
		this.send({ jsonrpc: "2.0", id, method, params });
		await settle();
	}

	/** It reads again, from here on. */
	unstick(): void {
		this.isStuck = false;
		this.onLine = 0;
		this.session.serve();
	}

	/** All records of its batches, one text each. */
	texts(): string[] {
		return this.batches.flatMap(({ items }) =>
			items.flatMap((item) => (item.type === "text" ? [item.text] : item.run.texts())),
		);
	}

	private hear(payload: Buffer): void {
		if (isLogPayload(payload)) {
			const frame = decodeLogPayload(payload);
			if (frame.type === "batch") this.batches.push(frame);
			else this.parts.push(frame);
			return;
		}
		if (isWindowPayload(payload)) {
			this.windowParts.push(decodeWindowPart(payload));
			return;
		}
		const message = JSON.parse(payload.toString());
		if (message.method === "log.pause") this.pauses.push(message.params);
		else this.answers.push(message);
	}
}

/**
 * @param windows by the records that have pinned them
 * @param more of the host, in place of what stands here
 */
export function linked(
	log: readonly StoredRecord[] | "broken" = [],
	windows: ReadonlyMap<number, Uint8Array> = new Map(),
	more: Partial<LinkHost> = {},
) {
	const submitted: Array<{ command: Command; decide: (decision: Decision) => void }> = [];
	const filler = new FrameFiller();
	/** Calls of `status`: one for each frame that asks for it. */
	const work = {
		statuses: 0,
		durableSeq: log === "broken" ? 9 : log.length,
		/** What has to be done before that window is ready. */
		making: new Map<number, () => Promise<void>>(),
	};
	const records = log === "broken" ? [] : [...log];
	const source = {
		read: (from: number, max: number) => records.filter(({ seq }) => seq >= from).slice(0, max),
	};
	const host: LinkHost = {
		storeId: STORE_ID,
		boot: 1,
		rig: "rig",
		...SHOWN,
		senses: () => NO_SENSES,
		status: () => {
			work.statuses += 1;
			return { ...IDLE, durableSeq: work.durableSeq };
		},
		submit: (command) => new Promise((decide) => submitted.push({ command, decide })),
		durableSeq: () => work.durableSeq,
		readBatch: async (want) => {
			if (log === "broken") throw new Error("disk I/O error");
			return filler.fill(source, want);
		},
		windows: async (after) => {
			const pinned = [...windows.keys()].filter((seq) => seq > after);
			return pinned.map((seq) => ({ seq, boot: 1, toMs: 1_000 * seq })).slice(0, WINDOWS_LISTED);
		},
		window: async (seq) => {
			await work.making.get(seq)?.();
			const bytes = windows.get(seq);
			return bytes === undefined ? null : { total: bytes.length, crc: crc32(bytes) };
		},
		readWindow: async (want) => {
			const bytes = windows.get(want.seq);
			return bytes === undefined ? null : encodeWindowPart(want, wholeWindow(bytes));
		},
		...more,
	};
	const server = new LinkServer(host);
	const client = new MemoryClient(server);
	const another = () => new MemoryClient(server);
	return { server, client, another, submitted, work, records };
}
