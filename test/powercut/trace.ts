// Records what a command asks of the kernel, by strace, and reads it strictly: a line that is not
// understood is an error, and so are arguments that were cut short. The calls are all of Linux's
// (section 2 of its manual, from memory) that change a file, a folder or a descriptor; calls that
// only read are left out.

import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";

const CALLS = [
	...["open", "openat", "openat2", "creat", "close", "close_range", "dup", "dup2", "dup3"],
	...["write", "writev", "pwrite64", "pwritev", "pwritev2", "sendfile", "copy_file_range"],
	...["splice", "tee", "vmsplice", "io_uring_setup", "io_submit", "fcntl", "lseek", "mmap"],
	...["truncate", "ftruncate", "fallocate", "fsync", "fdatasync", "sync", "syncfs", "msync"],
	...["sync_file_range", "rename", "renameat", "renameat2", "link", "linkat", "symlink"],
	...["symlinkat", "unlink", "unlinkat", "mkdir", "mkdirat", "rmdir", "mknod", "mknodat"],
	...["chmod", "fchmod", "fchmodat", "chown", "fchown", "fchownat", "clone", "clone3", "fork"],
	...["vfork", "execve", "execveat"],
];

const BYTES_MAX = 1 << 20;

export interface Call {
	readonly name: string;
	/** Strings and paths are decoded to latin-1 text, one character a byte. */
	readonly args: readonly string[];
	/** What it answered, and the path of a descriptor that it gave. */
	readonly answer: string;
	/** Places in the order of all beginnings and ends. */
	readonly begunAt: number;
	readonly endedAt: number;
}

/** Runs the command under strace. @returns its calls in the order of their ends */
export function record(command: readonly string[], traceFile: string): Call[] {
	const options = ["-f", "--seccomp-bpf", "-y", "-xx", "-s", String(BYTES_MAX)];
	const traced = ["-e", `trace=${CALLS.join(",")}`, "-o", traceFile];
	const done = spawnSync("strace", [...options, ...traced, ...command], { encoding: "utf8" });
	if (done.error !== undefined) throw done.error;
	// It may kill itself: strace then ends in the same way.
	if (done.status !== 0 && done.signal !== "SIGKILL") {
		throw new Error(`the workload ended with ${done.status}: ${done.stderr}`);
	}
	return readTrace(readFileSync(traceFile, "latin1"));
}

/** @throws Error at a line that is not understood */
export function readTrace(text: string): Call[] {
	const calls: Call[] = [];
	const begun = new Map<string, { text: string; at: number }>();
	text.split("\n").forEach((line, at) => {
		if (line === "") return;
		const [, thread = "", rest = ""] = /^(\d+) +(.*)$/.exec(line) ?? [];
		if (/^(\+\+\+ exited|\+\+\+ killed|--- SIG|\?\?\?\?)/.test(rest)) return;
		const resumed = /^<\.\.\. \w+ resumed>(.*)$/.exec(rest);
		if (rest.endsWith("<unfinished ...>")) {
			begun.set(thread, { text: rest.slice(0, -"<unfinished ...>".length), at });
			return;
		}
		const first = begun.get(thread);
		if (resumed !== null && first === undefined) throw new Error(`no beginning: ${short(line)}`);
		if (resumed === null && first !== undefined) throw new Error(`no end: ${short(first.text)}`);
		begun.delete(thread);
		const whole = resumed === null ? rest : `${first?.text ?? ""}${resumed[1]}`;
		calls.push({ ...readCall(whole), begunAt: first?.at ?? at, endedAt: at });
	});
	// A thread that was ended in a call has no end of it; it may not have been on the disk's behalf.
	for (const { text: call } of begun.values()) {
		if (!/^(close|fcntl|lseek|mmap)\(/.test(call)) throw new Error(`no end: ${short(call)}`);
	}
	return calls;
}

function readCall(text: string): Pick<Call, "name" | "args" | "answer"> {
	const [, name, inner, answer] = /^(\w+)\((.*)\) += (.+)$/.exec(text) ?? [];
	if (name === undefined || inner === undefined || answer === undefined) {
		throw new Error(`not understood: ${short(text)}`);
	}
	if (inner.includes('"...')) throw new Error(`cut short: ${short(text)}`);
	return { name, args: split(inner).map(decoded), answer: decoded(answer) };
}

/** At the commas that stand in no bracket. With -xx no string holds one. */
function split(inner: string): string[] {
	const parts: string[] = [];
	let depth = 0;
	let from = 0;
	for (let i = 0; i < inner.length; i += 1) {
		const sign = inner[i];
		if (sign === "{" || sign === "[") depth += 1;
		else if (sign === "}" || sign === "]") depth -= 1;
		else if (sign === "," && depth === 0) {
			parts.push(inner.slice(from, i));
			from = i + 1;
		}
	}
	return [...parts, inner.slice(from)].map((part) => part.trim()).filter((part) => part !== "");
}

const decoded = (text: string) =>
	text.replace(/(?:\\x[0-9a-f]{2})+/g, (hex) =>
		Buffer.from(hex.replaceAll("\\x", ""), "hex").toString("latin1"),
	);

const short = (text: string) => text.slice(0, 200);
