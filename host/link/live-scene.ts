// What is known of a controller over its link, kept up to date for who looks at it: its status, what
// it senses and what has happened of late. It looks and never acts. Imports the link's client.

import type { Batch } from "../../firmware/link/batch.ts";
import { results, type Senses, type Status } from "../../firmware/link/protocol.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import type { LinkClient } from "./client.ts";
import { type FetchEnd, LogFetch } from "./fetching.ts";
import type { SteadyLink } from "./steady-link.ts";

/** What is known, and since when. Times ending in `AtMs` are the looking computer's. */
export interface Seen {
	readonly rig: string;
	readonly boot: number;
	/** Null while the line is up. */
	readonly lostAtMs: number | null;
	readonly status: Status;
	readonly statusAtMs: number;
	/** Null before the first, and from a controller that does not tell them. */
	readonly senses: Senses | null;
	readonly sensesAtMs: number;
	/** Of this boot, first to last; samples but the last are left out. */
	readonly records: readonly LogRecord[];
	/** The last time of day that the rig was told in this boot. */
	readonly clock: ClockRecord | null;
}

export type ClockRecord = Extract<LogRecord, { kind: "clock" }>;

/** Records before now that are looked through for what happened last: half an hour of samples. */
const LOOK_BACK = 1_800;
/** Records kept, samples but the last not among them. */
const KEPT = 200;

export class LiveScene {
	now: Seen;
	/** Called after each change. */
	onChange: () => void = () => {};
	/** Called with each hand-over of the log, for who keeps more of it. */
	onBatches: (batches: readonly Batch[]) => void = () => {};
	private readonly fetch: LogFetch;
	private isAsking = false;

	constructor({ hello }: SteadyLink, status: Status, lookBack = LOOK_BACK) {
		const { rig, boot } = hello;
		const statusAtMs = performance.now();
		const none = { lostAtMs: null, senses: null, sensesAtMs: 0, records: [], clock: null };
		this.now = { rig, boot, status, statusAtMs, ...none };
		this.fetch = new LogFetch({ from: Math.max(1, status.durableSeq - lookBack), to: null });
	}

	/** Until the line is lost or the signal comes. */
	follow({ client, hello }: SteadyLink, signal: AbortSignal): Promise<FetchEnd> {
		const tellsSenses = hello.methods.includes("senses");
		return this.fetch.over(client, {
			onBatches: (batches) => this.take(batches),
			onStatus: (status) => {
				this.change({ status, statusAtMs: performance.now() });
				if (tellsSenses) void this.askSenses(client);
			},
			signal,
		});
	}

	/** Asks at once how it stands: something was done, or nobody follows the log just now. */
	async look({ client, hello }: SteadyLink): Promise<void> {
		const response = await client.ask("status", {});
		if (response === null || "error" in response) return;
		const status = results.status.safeParse(response.result);
		if (status.success) this.change({ status: status.data, statusAtMs: performance.now() });
		if (hello.methods.includes("senses")) await this.askSenses(client);
	}

	lose(): void {
		this.change({ lostAtMs: performance.now() });
	}

	/** The line is back; another boot's events are not this one's. */
	find({ hello }: SteadyLink, status: Status): void {
		const { boot } = hello;
		const isSame = boot === this.now.boot;
		const { records, clock, senses } = this.now;
		const kept = isSame ? { records, clock, senses } : { records: [], clock: null, senses: null };
		this.change({ boot, ...kept, status, statusAtMs: performance.now(), lostAtMs: null });
	}

	/** One at a time: a slow line must not fill with the same question. */
	private async askSenses(client: LinkClient): Promise<void> {
		if (this.isAsking) return;
		this.isAsking = true;
		const response = await client.ask("senses", {});
		this.isAsking = false;
		if (response === null || "error" in response) return;
		const senses = results.senses.safeParse(response.result);
		if (senses.success) this.change({ senses: senses.data, sensesAtMs: performance.now() });
	}

	private take(batches: readonly Batch[]): void {
		this.onBatches(batches);
		const fresh = batches.flatMap(({ items }) =>
			items.flatMap((item) => {
				// Of samples only the last is shown.
				const texts = item.type === "text" ? [item.text] : [item.run.text(item.run.length - 1)];
				return texts.flatMap((text) => readRecord(text) ?? []);
			}),
		);
		const { boot, records } = this.now;
		const all = [...records, ...fresh].filter((record) => record.boot === boot);
		const lastSample = all.findLast(({ kind }) => kind === "sample");
		const isShown = (record: LogRecord) => record.kind !== "sample" || record === lastSample;
		const shown = all.filter(isShown);
		const clock = all.findLast((record) => record.kind === "clock") ?? this.now.clock;
		// The boot's own record says that nothing came before.
		this.change({ records: shown.slice(-KEPT), clock });
	}

	private change(what: Partial<Seen>): void {
		this.now = { ...this.now, ...what };
		this.onChange();
	}
}
