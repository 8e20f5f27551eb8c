// Plays chapters of a story one after the other on the same disk, and collects what happened to
// it. The disk is a folder, which has all that was written; disk.ts makes the others of it.

import { mkdirSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { root } from "../stories/world.ts";
import type { Cut } from "./cuts.ts";
import { type Happening, LiveFiles } from "./live-files.ts";
import { record } from "./trace.ts";
import type { Chapter } from "./workload.ts";

/** The store's folder under the disk's root, and its file. */
export const FOLDER = "log";
export const FILE = "log.sqlite";

const workload = join(root, ".build/test/powercut/workload.js");

export class Play {
	readonly happenings: Happening[] = [];
	readonly live: LiveFiles;
	private readonly home: string;
	private readonly disk: string;
	/** The store's. */
	readonly folder: string;

	/** @param scratch in memory: a sync costs nothing there, and is asked for all the same */
	constructor(scratch: string) {
		this.home = mkdtempSync(join(scratch, "play-"));
		this.disk = join(this.home, "disk");
		mkdirSync(this.disk);
		this.folder = join(this.disk, FOLDER);
		this.live = new LiveFiles(this.disk, join(this.home, "ack"));
	}

	chapter(told: Pick<Chapter, "steps" | "ends"> & Partial<Chapter>): void {
		const ackFile = join(this.home, "ack");
		const { folder } = this;
		const chapter = { folder, ackFile, spoilt: "", bytesMax: 256_000_000, ...told };
		const chapterFile = join(this.home, "chapter.json");
		writeFileSync(chapterFile, JSON.stringify(chapter));
		const calls = record([process.execPath, workload, chapterFile], join(this.home, "trace"));
		this.happenings.push(...this.live.follow(calls));
	}

	/** A controller made the store's folder and was killed before it could sync its name. */
	makeFolder(): void {
		mkdirSync(this.folder);
		this.happenings.push(...this.live.found(this.folder, null));
	}

	/** The disk is as a cut has left it, with what had been told before. */
	lay({ image, ackedSeq }: Cut): void {
		for (const [name, content] of image) {
			const path = join(this.disk, name);
			if (content === null) mkdirSync(path);
			else writeFileSync(path, content);
			this.happenings.push(...this.live.found(path, content));
		}
		this.rest();
		this.happenings.push(...this.live.happen([{ type: "ack", seq: ackedSeq }]));
	}

	/** Half a minute passes: the kernel writes everything to the disk. */
	rest(): void {
		this.happenings.push(...this.live.syncAll());
	}

	/** A worn card garbles a part of a file, down on the disk. */
	garble(name: string, offset: number, bytes: Uint8Array): void {
		const path = join(this.folder, name);
		const content = readFileSync(path);
		content.set(bytes, offset);
		writeFileSync(path, content);
		const file = this.live.inodeOf(path);
		this.happenings.push(...this.live.happen([{ type: "write", file, offset, bytes }]));
		this.rest();
	}

	/** Of a file of the store, as it is now. */
	content(name: string): Uint8Array {
		return readFileSync(join(this.folder, name));
	}
}
