// Fetches the windows of tick inputs that the archive does not have, after the records that have
// pinned them. Each is whole and durable here before the next one begins; one that is under way
// when the line is lost goes on over the next line.

import { NoAnswer } from "../link/client.ts";
import type { SteadyLink } from "../link/steady-link.ts";
import { WindowFetch } from "../link/window-fetch.ts";
import type { Archive, WindowName } from "./archive.ts";

export interface WindowPullParts {
	readonly signal: AbortSignal;
	/** Bytes of window frames that have come. */
	readonly onBytes: (bytes: number) => void;
	readonly onCount: (counts: { readonly windows: number; readonly windowsWanted: number }) => void;
}

export class WindowPull {
	isDone = false;
	private readonly archive: Archive;
	private readonly storeId: string;
	private readonly parts: WindowPullParts;
	private wanted: WindowName[] | null = null;
	private underWay: WindowFetch | null = null;
	private windows = 0;
	private windowsWanted = 0;

	constructor(archive: Archive, storeId: string, parts: WindowPullParts) {
		this.archive = archive;
		this.storeId = storeId;
		this.parts = parts;
	}

	/** @throws InputError when a window is not what it should be */
	async over({ client, hello }: SteadyLink): Promise<"done" | "lost" | "ended"> {
		const { archive, storeId } = this;
		const { signal, onBytes, onCount } = this.parts;
		// A controller of an earlier version keeps its windows to itself.
		if (!hello.methods.includes("window.read")) return this.finish();
		this.wanted ??= await this.list(client);
		if (this.wanted === null) return "lost";
		onCount({ windows: this.windows, windowsWanted: this.windowsWanted });
		for (let next = this.wanted[0]; next !== undefined; next = this.wanted[0]) {
			if (this.underWay?.seq !== next.seq) this.underWay = new WindowFetch(next.seq);
			const end = await this.underWay.over(client, signal, onBytes);
			if (end === "lost" || end === "ended") return end;
			if (end === "done") {
				archive.keepWindow(storeId, next, this.underWay.content);
				this.windows += 1;
			} else this.windowsWanted -= 1;
			this.wanted.shift();
			onCount({ windows: this.windows, windowsWanted: this.windowsWanted });
		}
		return this.finish();
	}

	private finish(): "done" {
		this.isDone = true;
		return "done";
	}

	/** Those that are not here, of records that are; null when the line is lost. */
	private async list(client: SteadyLink["client"]): Promise<WindowName[] | null> {
		const { archive, storeId } = this;
		const last = archive.last(storeId)?.seq ?? 0;
		if (last === 0) return [];
		const here = new Set(archive.windows(storeId).map(({ seq }) => seq));
		const wanted: WindowName[] = [];
		for (let after = 0; ; ) {
			const answer = await client.call("window.list", { after }).catch((error) => {
				if (error instanceof NoAnswer) return null;
				throw error;
			});
			if (answer === null) return null;
			wanted.push(...answer.windows.filter(({ seq }) => seq <= last && !here.has(seq)));
			const end = answer.windows.at(-1)?.seq ?? 0;
			if (end <= after) break;
			after = end;
		}
		this.windowsWanted = wanted.length;
		return wanted;
	}
}
