// Fetches the windows of tick inputs that the archive does not have, after the records that have
// pinned them. Each is whole and durable here before the next one begins; one that is under way
// when the line is lost goes on over the next line. One that cannot be had, or is not what it is
// called, is left out and not kept: a good one may still come with a later pull.

import { describeProblem } from "../../firmware/config/input-error.ts";
import { decodeRun } from "../../firmware/log/kept-run.ts";
import { BadBytes } from "../../firmware/log/varint.ts";
import { NoAnswer } from "../link/client.ts";
import type { SteadyLink } from "../link/steady-link.ts";
import { type WindowFailure, WindowFetch } from "../link/window-fetch.ts";
import type { Archive, WindowName } from "./archive.ts";

/** A window that did not come, by the record that has pinned it. */
export interface WindowLeftOut extends WindowFailure {
	readonly seq: number;
}

/** Windows of tick inputs that were new, of those that were not here at first. */
export interface WindowCounts {
	readonly windows: number;
	readonly windowsWanted: number;
	readonly windowsLeftOut: readonly WindowLeftOut[];
}

export interface WindowPullParts {
	readonly signal: AbortSignal;
	/** Ends it as well, but for the window that is under way. */
	readonly turn?: AbortSignal;
	/** Bytes of window frames that have come. */
	readonly onBytes: (bytes: number) => void;
	readonly onCount: (counts: WindowCounts) => void;
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
	private readonly leftOut: WindowLeftOut[] = [];

	constructor(archive: Archive, storeId: string, parts: WindowPullParts) {
		this.archive = archive;
		this.storeId = storeId;
		this.parts = parts;
	}

	/** @throws InputError when the controller tells of no windows */
	async over({
		client,
		hello,
	}: Pick<SteadyLink, "client" | "hello">): Promise<"done" | "lost" | "ended"> {
		const { signal, turn, onBytes } = this.parts;
		// A controller of an earlier version keeps its windows to itself.
		if (!hello.methods.includes("window.read")) return this.finish();
		this.wanted ??= await this.list(client);
		if (this.wanted === null) return "lost";
		this.tellCounts();
		for (let next = this.wanted[0]; next !== undefined; next = this.wanted[0]) {
			if (this.underWay?.seq !== next.seq) this.underWay = new WindowFetch(next.seq);
			const end = await this.underWay.over(client, signal, onBytes);
			if (end === "lost" || end === "ended") return end;
			if (end === "gone") this.windowsWanted -= 1;
			else this.keep(next, end === "done" ? this.underWay.content : end);
			this.wanted.shift();
			this.tellCounts();
			if (turn?.aborted === true && this.wanted.length > 0) return "ended";
		}
		return this.finish();
	}

	private keep(name: WindowName, came: Uint8Array | WindowFailure): void {
		const failure = came instanceof Uint8Array ? misfit(came, this.storeId, name) : came;
		if (failure !== null) this.leftOut.push({ seq: name.seq, ...failure });
		else if (came instanceof Uint8Array) {
			this.archive.keepWindow(this.storeId, name, came);
			this.windows += 1;
		}
	}

	private tellCounts(): void {
		const { windows, windowsWanted } = this;
		this.parts.onCount({ windows, windowsWanted, windowsLeftOut: [...this.leftOut] });
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

/** Null when these bytes are the window that was asked for. */
function misfit(bytes: Uint8Array, storeId: string, { seq, boot }: WindowName) {
	const allowed = `the window of record ${seq}, boot ${boot}, log ${storeId}`;
	const found = whatItIs(bytes);
	if (found === allowed) return null;
	return { code: null, message: describeProblem({ file: "window.read", found, allowed }) };
}

function whatItIs(bytes: Uint8Array): string {
	try {
		const { source } = decodeRun(bytes).head;
		return source.type === "window"
			? `the window of record ${source.seq}, boot ${source.boot}, log ${source.storeId}`
			: "a run of the bench";
	} catch (error) {
		if (error instanceof BadBytes) return error.message;
		throw error;
	}
}
