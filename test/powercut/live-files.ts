// What the recorded calls do to the files under one folder, as the running system sees them: who
// is behind a descriptor, which file a name stands for. Turns calls into events for the disk. A
// call on these files that is not known here is an error, and so is mapping one into memory.

import { dirname, join } from "node:path";
import type { Call } from "./trace.ts";

/** Files and folders by the number of their birth; the folder under watch is 0. */
export type Inode = number;

export type DiskEvent =
	| {
			readonly type: "write";
			readonly file: Inode;
			readonly offset: number;
			readonly bytes: Uint8Array;
	  }
	| { readonly type: "resize"; readonly file: Inode; readonly size: number }
	/** Names of a folder that come, go, or both at once. */
	| {
			readonly type: "entry";
			readonly folder: Inode;
			readonly removes: string | null;
			readonly adds: Name | null;
	  }
	/** Covers what had ended before it began. */
	| { readonly type: "sync"; readonly inode: Inode; readonly begunAt: number }
	| { readonly type: "ack"; readonly seq: number };

interface Name {
	readonly name: string;
	readonly inode: Inode;
	readonly isFolder: boolean;
}

export type Happening = DiskEvent & { readonly endedAt: number };

interface Descriptor {
	readonly inode: Inode;
	readonly isAck: boolean;
	/** Where a plain write goes; null when it may not be known. */
	position: number | null;
}

/** Calls that leave the content, the names and the descriptors as they are. */
const HARMLESS = new Set(["fchown", "fchmod", "chmod", "chown", "execve"]);
const FCNTL_HARMLESS = /^F_(GETFL|SETFD|GETFD|SETLK|SETLKW|GETLK|OFD_SETLK|OFD_GETLK)$/;

export class LiveFiles {
	private readonly root: string;
	private readonly ackFile: string;
	private readonly names = new Map<string, Inode>();
	private readonly folders = new Set<Inode>([0]);
	private readonly sizes = new Map<Inode, number>();
	private open = new Map<number, Descriptor>();
	private born = 0;
	private at = 0;

	constructor(root: string, ackFile: string) {
		this.root = root;
		this.ackFile = ackFile;
		this.names.set(root, 0);
	}

	/** The file that stands behind a name now. */
	inodeOf(path: string): Inode {
		const inode = this.names.get(path);
		if (inode === undefined) throw new Error(`nothing is called ${path}`);
		return inode;
	}

	/** One process from its begin to its end. Descriptors end with it, names do not. */
	follow(calls: readonly Call[]): Happening[] {
		this.open = new Map();
		const offset = this.at;
		const happenings: Happening[] = [];
		for (const call of calls) {
			const moved = {
				...call,
				begunAt: call.begunAt + offset,
				endedAt: call.endedAt + offset,
			};
			for (const event of this.take(moved)) {
				happenings.push({ ...event, endedAt: moved.endedAt });
			}
			this.at = moved.endedAt + 1;
		}
		return happenings;
	}

	/** What comes from elsewhere, after all that was followed. */
	happen(events: readonly DiskEvent[]): Happening[] {
		return events.map((event) => {
			const endedAt = this.at;
			this.at += 1;
			return { ...event, endedAt };
		});
	}

	/** A file that was there before; null is a folder. */
	found(path: string, content: Uint8Array | null): Happening[] {
		if (content === null) return this.happen(this.madeFolder(path));
		const file = this.birth();
		const begun = this.entry(path, file);
		this.sizes.set(file, content.length);
		return this.happen([begun, { type: "write", file, offset: 0, bytes: content }]);
	}

	/** A sync of every file and folder that ever was. */
	syncAll(): Happening[] {
		const begunAt = this.at;
		const inodes = Array.from({ length: this.born + 1 }, (_, inode) => inode);
		return this.happen(inodes.map((inode) => ({ type: "sync", inode, begunAt })));
	}

	isFolder(inode: Inode): boolean {
		return this.folders.has(inode);
	}

	private take(call: Call): DiskEvent[] {
		const { name, args, answer } = call;
		if (/^(clone3?|fork|vfork)$/.test(name)) {
			const shares = /CLONE_FILES/.test(args.join()) && /CLONE_THREAD/.test(args.join());
			if (!shares) throw new Error("a second process is not followed");
			return [];
		}
		const touches =
			args.some((arg) => this.isWatched(arg)) || this.open.has(Number.parseInt(args[0] ?? "", 10));
		if (!touches || HARMLESS.has(name)) return [];
		if (answer.startsWith("-1")) {
			if (/^-1 E(NOENT|EXIST) /.test(answer)) return [];
			throw new Error(`it failed: ${name} ${answer}`);
		}
		if (answer.startsWith("?")) throw new Error(`it never ended: ${name}`);
		const handler = this.handlers[name];
		if (handler === undefined) throw new Error(`${name} is not known on a store's file`);
		return handler(call);
	}

	private readonly handlers: Readonly<Record<string, (call: Call) => DiskEvent[]>> = {
		openat: ({ args, answer }) => this.opened(pathOf(args[1]), args[2] ?? "", answer),
		open: ({ args, answer }) => this.opened(pathOf(args[0]), args[1] ?? "", answer),
		close: ({ args }) => {
			this.open.delete(this.known(args[0]).number);
			return [];
		},
		fcntl: ({ args }) => {
			if (FCNTL_HARMLESS.test(args[1] ?? "")) return [];
			throw new Error(`fcntl ${args[1]} is not known on a store's file`);
		},
		pwrite64: ({ args, answer }) => {
			const { descriptor } = this.known(args[0]);
			const offset = Number(args[3]);
			return this.written(descriptor, offset, bytesOf(args[1]).subarray(0, Number(answer)));
		},
		write: ({ args, answer }) => {
			const { descriptor } = this.known(args[0]);
			const bytes = bytesOf(args[1]).subarray(0, Number(answer));
			if (descriptor.isAck) return acks(bytes);
			const { position } = descriptor;
			if (position === null) throw new Error("a plain write through a descriptor that reads");
			descriptor.position = position + bytes.length;
			return this.written(descriptor, position, bytes);
		},
		ftruncate: ({ args }) => {
			const { descriptor } = this.known(args[0]);
			return this.resized(descriptor.inode, Number(args[1]));
		},
		fsync: (call) => this.synced(call),
		fdatasync: (call) => this.synced(call),
		mkdir: ({ args }) => this.madeFolder(pathOf(args[0])),
		mkdirat: ({ args }) => this.madeFolder(pathOf(args[1])),
		unlink: ({ args }) => this.unlinked(pathOf(args[0])),
		unlinkat: ({ args }) => {
			if (args[2] !== "0") throw new Error("a folder that is removed");
			return this.unlinked(pathOf(args[1]));
		},
		rename: ({ args }) => this.renamed(pathOf(args[0]), pathOf(args[1])),
		renameat: ({ args }) => this.renamed(pathOf(args[1]), pathOf(args[3])),
		renameat2: ({ args }) => {
			if (args[4] !== "0") throw new Error(`rename with ${args[4]}`);
			return this.renamed(pathOf(args[1]), pathOf(args[3]));
		},
	};

	private opened(path: string, flags: string, answer: string): DiskEvent[] {
		const events: DiskEvent[] = [];
		const isAck = path === this.ackFile;
		let inode = isAck ? -1 : this.names.get(path);
		if (inode === undefined) {
			if (!flags.includes("O_CREAT")) throw new Error(`nobody has made ${path}`);
			inode = this.birth();
			this.sizes.set(inode, 0);
			events.push(this.entry(path, inode));
		} else if (flags.includes("O_TRUNC") && !isAck) events.push(...this.resized(inode, 0));
		const writesOnly = flags.includes("O_WRONLY");
		const position = flags.includes("O_APPEND") ? (this.sizes.get(inode) ?? 0) : 0;
		const number = Number.parseInt(answer, 10);
		this.open.set(number, { inode, isAck, position: writesOnly ? position : null });
		return events;
	}

	private written({ inode, isAck }: Descriptor, offset: number, bytes: Uint8Array): DiskEvent[] {
		if (isAck || this.folders.has(inode)) throw new Error("no place for such a write");
		this.sizes.set(inode, Math.max(this.sizes.get(inode) ?? 0, offset + bytes.length));
		return [{ type: "write", file: inode, offset, bytes }];
	}

	private resized(file: Inode, size: number): DiskEvent[] {
		if (this.sizes.get(file) === size) return [];
		this.sizes.set(file, size);
		return [{ type: "resize", file, size }];
	}

	private synced({ args, begunAt }: Call): DiskEvent[] {
		const { inode, isAck } = this.known(args[0]).descriptor;
		return isAck ? [] : [{ type: "sync", inode, begunAt }];
	}

	private madeFolder(path: string): DiskEvent[] {
		const inode = this.birth();
		this.folders.add(inode);
		return [this.entry(path, inode)];
	}

	private entry(path: string, inode: Inode): DiskEvent {
		this.names.set(path, inode);
		const adds = {
			name: path.slice(dirname(path).length + 1),
			inode,
			isFolder: this.folders.has(inode),
		};
		return { type: "entry", folder: this.inodeOf(dirname(path)), removes: null, adds };
	}

	private unlinked(path: string): DiskEvent[] {
		this.inodeOf(path);
		this.names.delete(path);
		const removes = path.slice(dirname(path).length + 1);
		return [{ type: "entry", folder: this.inodeOf(dirname(path)), removes, adds: null }];
	}

	private renamed(from: string, to: string): DiskEvent[] {
		const inode = this.inodeOf(from);
		if (dirname(from) !== dirname(to)) throw new Error("a rename from folder to folder");
		if (this.folders.has(inode)) throw new Error("a folder that is renamed");
		this.names.delete(from);
		const event = this.entry(to, inode);
		return [{ ...event, removes: from.slice(dirname(from).length + 1) } as DiskEvent];
	}

	private known(arg = ""): { number: number; descriptor: Descriptor } {
		const number = Number.parseInt(arg, 10);
		const descriptor = this.open.get(number);
		if (descriptor === undefined) throw new Error(`nobody has opened ${arg.slice(0, 80)}`);
		return { number, descriptor };
	}

	private isWatched(arg: string): boolean {
		const path = /^\d+<(.*)>$/s.exec(arg)?.[1] ?? (arg.startsWith('"/') ? pathOf(arg) : "");
		return path === this.ackFile || path === this.root || path.startsWith(join(this.root, "/"));
	}

	private birth(): Inode {
		this.born += 1;
		return this.born;
	}
}

const bytesOf = (arg = "") => Buffer.from(arg.slice(1, -1), "latin1");

function pathOf(arg = ""): string {
	const path = arg.slice(1, -1);
	if (!path.startsWith("/")) throw new Error(`${path} is no whole path`);
	return path;
}

function acks(bytes: Uint8Array): DiskEvent[] {
	const text = Buffer.from(bytes).toString();
	const [, seq] = /^ack (\d+)\n$/.exec(text) ?? [];
	if (seq === undefined) throw new Error(`no answer that is known: ${text}`);
	return [{ type: "ack", seq: Number(seq) }];
}
