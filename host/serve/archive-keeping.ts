// Fetches the log into the archive while the pages are served: a little after the controller was
// found, after each run and every half hour, over the line that the pages use. What takes long is
// fetched in turns, so that the pages hear of events in between. What goes wrong is told and tried
// again; no page waits for it.

import { InputError } from "../../firmware/config/input-error.ts";
import { Archive } from "../archive/archive.ts";
import { pull } from "../archive/pull.ts";
import type { SteadyLink } from "../link/steady-link.ts";
import type { ArchiveKeeping } from "./live-link.ts";

/** What happens just after a run's end is to be in it too. */
const AFTER_RUN_MS = 5_000;
const FIRST_MS = 10_000;
const EVERY_MS = 30 * 60_000;
/** A season's log takes hours over a serial line: so long at a time, and so long between two. */
const TURN_MS = 20_000;
const BETWEEN_MS = 10_000;

export interface PullTimes {
	readonly turnMs: number;
	readonly betweenMs: number;
}

export class ArchivePulls implements ArchiveKeeping {
	private readonly file: string;
	private readonly tell: (line: string) => void;
	private readonly times: PullTimes;
	private asking = new AbortController();
	private timer: NodeJS.Timeout | null = null;
	private dueMs = Number.POSITIVE_INFINITY;

	constructor(
		file: string,
		tell: (line: string) => void,
		times: PullTimes = { turnMs: TURN_MS, betweenMs: BETWEEN_MS },
	) {
		this.file = file;
		this.tell = tell;
		this.times = times;
	}

	wanted(): AbortSignal {
		if (this.timer === null) this.askIn(FIRST_MS);
		return this.asking.signal;
	}

	runEnded(): void {
		this.askIn(AFTER_RUN_MS);
	}

	async pull({ client, hello }: SteadyLink, signal: AbortSignal): Promise<void> {
		this.asking = new AbortController();
		this.dueMs = Number.POSITIVE_INFINITY;
		this.askIn(EVERY_MS);
		const { turnMs, betweenMs } = this.times;
		const turn = AbortSignal.timeout(turnMs);
		let archive: Archive | null = null;
		try {
			archive = new Archive(this.file, { create: true });
			await pull({
				// Whoever lends the line looks for it when it is lost.
				link: { client, hello, again: async () => false },
				archive,
				follow: false,
				signal,
				turn,
				onProgress: () => {},
				onLost: () => {},
			});
		} catch (error) {
			if (!(error instanceof InputError)) throw error;
			this.tell(`the log was not fetched into the archive: ${error.message}`);
		} finally {
			archive?.close();
		}
		if (turn.aborted && !signal.aborted) this.askIn(betweenMs);
	}

	close(): void {
		if (this.timer !== null) clearTimeout(this.timer);
	}

	/** The sooner of what was asked for counts. */
	private askIn(ms: number): void {
		const dueMs = performance.now() + ms;
		if (dueMs >= this.dueMs) return;
		this.dueMs = dueMs;
		if (this.timer !== null) clearTimeout(this.timer);
		this.timer = setTimeout(() => this.asking.abort(), ms);
	}
}
