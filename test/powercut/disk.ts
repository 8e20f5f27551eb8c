// A disk whose supply may be cut after any call.
//
// What happens: a write, a change of size, a name that comes, goes or changes is on the disk for
// certain only once its file, or for a name its folder, has been synced after it. Until then each
// of them is there or not, whatever became of those before and after it, across files and folders
// too. A write may be torn: of its sectors of 512 bytes any may be there. What is missing between
// sectors that are there reads as zeros where the file had nothing, else as what it had.
//
// What never happens: a sync that tells a lie, or covers what came while it was under way. A sector
// with anything but old or new in each byte: SQLite's "powersafe overwrite", its default, wants
// bytes outside a write to keep their value. Half a rename, half a change of size, half a name:
// file systems with a journal keep these whole. A rename that is seen as a copy. Files that change
// by themselves; that is the log-failed path's story, not this one's. A sync of a file does not
// bring its name to the disk, which ext4 would do and POSIX does not ask for.
//
// After POSIX (IEEE Std 1003.1, fsync) and T. S. Pillai et al., "All File Systems Are Not Created
// Equal", OSDI 2014, for what file systems reorder; both from memory.

import { createHash } from "node:crypto";
import type { DiskEvent, Happening, Inode } from "./live-files.ts";

const SECTOR = 512;

/** Of something that was not synced: not there, there, or there sector by sector. */
export type Fate = "lost" | "kept" | readonly boolean[];

type Change = Extract<DiskEvent, { type: "write" | "resize" | "entry" }>;

/** Paths under the root, with content; null is a folder. */
export type Image = ReadonlyMap<string, Uint8Array | null>;

export class Disk {
	/** Not yet synced, in the order of the calls. */
	pending: ReadonlyArray<Change & { readonly endedAt: number }> = [];
	/** Bumped when the durable content changes, by file. */
	private readonly files = new Map<Inode, { content: Buffer; version: number }>();
	private readonly folders = new Map<Inode, Map<string, Inode>>([[0, new Map()]]);
	private readonly prints = new Map<string, string>();

	take(happening: Happening): void {
		if (happening.type === "ack") return;
		if (happening.type !== "sync") {
			this.pending = [...this.pending, happening];
			// Made empty at once, but without a name nobody finds it.
			if (happening.type === "entry" && happening.adds?.isFolder === true) {
				this.folders.set(happening.adds.inode, new Map());
			}
			return;
		}
		const { inode, begunAt } = happening;
		const isCovered = (change: Change & { endedAt: number }) =>
			change.endedAt < begunAt && ownerOf(change) === inode;
		const covered = this.pending.filter(isCovered);
		if (covered.length === 0) return;
		this.pending = this.pending.filter((change) => !isCovered(change));
		const kept = covered.map((change) => ({ change, fate: "kept" }) as const);
		if (this.folders.has(inode)) {
			this.folders.set(inode, named(this.folders.get(inode), kept));
		} else {
			const file = this.files.get(inode);
			const content = written(file?.content ?? Buffer.alloc(0), kept);
			this.files.set(inode, { content, version: (file?.version ?? 0) + 1 });
		}
		this.prints.clear();
	}

	/** What is found after the cut, when each pending change has its fate. */
	image(fates: readonly Fate[]): Image {
		const image = new Map<string, Uint8Array | null>();
		this.walk(fates, (path, inode, changes) =>
			image.set(path, inode === null ? null : this.contentOf(inode, changes)),
		);
		return image;
	}

	/** Equal for equal images. */
	fingerprint(fates: readonly Fate[]): string {
		const print = createHash("sha1");
		this.walk(fates, (path, inode, changes) => {
			print.update(path);
			if (inode !== null) print.update(this.printOf(inode, changes));
		});
		return print.digest("base64");
	}

	private walk(fates: readonly Fate[], visit: Visit): void {
		const byOwner = new Map<Inode, Decided[]>();
		this.pending.forEach((change, i) => {
			const fate = fates[i] ?? "lost";
			if (fate === "lost") return;
			const owner = ownerOf(change);
			const list = byOwner.get(owner) ?? [];
			byOwner.set(owner, list);
			list.push({ change, fate, number: i });
		});
		const enter = (folder: Inode, path: string) => {
			const entries = named(this.folders.get(folder), byOwner.get(folder) ?? []);
			for (const [name, inode] of [...entries].sort(([a], [b]) => (a < b ? -1 : 1))) {
				const isFolder = this.folders.has(inode);
				visit(`${path}${name}`, isFolder ? null : inode, byOwner.get(inode) ?? []);
				if (isFolder) enter(inode, `${path}${name}/`);
			}
		};
		enter(0, "");
	}

	private contentOf(inode: Inode, changes: readonly Decided[]): Buffer {
		return written(this.files.get(inode)?.content ?? Buffer.alloc(0), changes);
	}

	private printOf(inode: Inode, changes: readonly Decided[]): string {
		const fates = changes.map(({ fate, number }) => `${number}${textOfFate(fate)}`);
		const key = `${inode} ${this.files.get(inode)?.version} ${fates.join(" ")}`;
		const known = this.prints.get(key);
		if (known !== undefined) return known;
		const print = createHash("sha1").update(this.contentOf(inode, changes)).digest("base64");
		this.prints.set(key, print);
		return print;
	}
}

interface Decided {
	readonly change: Change;
	readonly fate: Exclude<Fate, "lost">;
	/** Its place among the pending. */
	readonly number: number;
}
type Visit = (path: string, inode: Inode | null, changes: readonly Decided[]) => void;

const ownerOf = (change: Change) => (change.type === "entry" ? change.folder : change.file);

/** How many sectors a write touches. */
export function sectorsOf(change: Change): number {
	if (change.type !== "write") return 1;
	const end = change.offset + change.bytes.length;
	return Math.ceil(end / SECTOR) - Math.floor(change.offset / SECTOR);
}

export const textOfFate = (fate: Fate) =>
	typeof fate === "string" ? fate : fate.map((isThere) => (isThere ? "1" : "0")).join("");

function named(before: ReadonlyMap<string, Inode> | undefined, changes: readonly Told[]) {
	const names = new Map(before);
	for (const { change } of changes) {
		if (change.type !== "entry") continue;
		if (change.removes !== null) names.delete(change.removes);
		if (change.adds !== null) names.set(change.adds.name, change.adds.inode);
	}
	return names;
}

type Told = Pick<Decided, "change" | "fate">;

function written(before: Buffer, changes: readonly Told[]): Buffer {
	let size = before.length;
	let room = size;
	for (const { change } of changes) {
		if (change.type === "write") room = Math.max(room, change.offset + change.bytes.length);
		else if (change.type === "resize") room = Math.max(room, change.size);
	}
	const content = Buffer.allocUnsafe(room).fill(0, size);
	content.set(before);
	for (const { change, fate } of changes) {
		if (change.type === "resize") {
			content.fill(0, Math.min(size, change.size), size);
			size = change.size;
		} else if (change.type === "write") {
			for (const [from, to] of piecesOf(change, fate)) {
				content.set(change.bytes.subarray(from - change.offset, to - change.offset), from);
				size = Math.max(size, to);
			}
		}
	}
	return content.subarray(0, size);
}

/** Stretches of the file that a write reaches, from and up to. */
function piecesOf(
	{ offset, bytes }: Extract<Change, { type: "write" }>,
	fate: Decided["fate"],
): Array<[number, number]> {
	const end = offset + bytes.length;
	if (fate === "kept") return [[offset, end]];
	const first = Math.floor(offset / SECTOR);
	return fate.flatMap((isThere, i): Array<[number, number]> => {
		const from = (first + i) * SECTOR;
		return isThere ? [[Math.max(offset, from), Math.min(end, from + SECTOR)]] : [];
	});
}
