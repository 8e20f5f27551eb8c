// The recorded calls are read strictly: what is not understood, and what the disk of the proof does
// not know, is an error and never left out.

import { describe, expect, it } from "vitest";
import { LiveFiles } from "./live-files.ts";
import { readTrace } from "./trace.ts";

const hex = (text: string) =>
	[...Buffer.from(text)].map((byte) => `\\x${byte.toString(16).padStart(2, "0")}`).join("");
const PATH = hex("/r/log");
const OPEN = `7 openat(AT_FDCWD<${hex("/x")}>, "${PATH}", O_RDWR|O_CREAT, 0644) = 5<${PATH}>`;

const follow = (...lines: string[]) =>
	new LiveFiles("/r", "/ack").follow(readTrace([OPEN, ...lines].join("\n")));

describe("a trace", () => {
	it("puts a call together that another thread's calls have cut in two, at its end", () => {
		const calls = readTrace(
			[
				`7 fsync(5<${PATH}> <unfinished ...>`,
				`8 write(4<${hex("/ack")}>, "${hex("ack 1\n")}", 6) = 6`,
				"7 <... fsync resumed>)            = 0",
				"7 +++ exited with 0 +++",
			].join("\n"),
		);
		expect(calls.map(({ name, begunAt, endedAt }) => [name, begunAt, endedAt])).toEqual([
			["write", 1, 1],
			["fsync", 0, 2],
		]);
		expect(calls[1]?.args).toEqual(["5</r/log>"]);
		expect(calls[0]?.args[1]).toBe('"ack 1\n"');
	});

	it.each([
		["a string that was cut short", `7 write(5<${PATH}>, "${hex("a")}"..., 99) = 99`, /cut short/],
		["a line of another shape", "7 what is this", /not understood/],
		["an end without a beginning", "7 <... fsync resumed>) = 0", /no beginning/],
		["a call within a call", `7 fsync(5 <unfinished ...>\n7 fsync(5) = 0`, /no end/],
		["a write that never ends", `7 pwrite64(5<${PATH}>, "", 0, 0 <unfinished ...>`, /no end/],
	])("is refused for %s", (_, text, why) => {
		expect(() => readTrace(text)).toThrow(why);
	});
});

describe("the files", () => {
	it("tell writes, sizes, names, syncs and answers", () => {
		const events = follow(
			`7 pwrite64(5<${PATH}>, "${hex("abcd")}", 4, 512) = 3`,
			`7 ftruncate(5<${PATH}>, 100) = 0`,
			`7 fdatasync(5<${PATH}>) = 0`,
			`7 rename("${PATH}", "${hex("/r/old")}") = 0`,
			`7 unlink("${hex("/r/old")}") = 0`,
			`7 close(5<${hex("/r/old")}>(deleted)) = 0`,
			`8 openat(AT_FDCWD<${hex("/x")}>, "${hex("/ack")}", O_WRONLY|O_APPEND) = 6<${hex("/ack")}>`,
			`8 write(6<${hex("/ack")}>, "${hex("ack 12\n")}", 7) = 7`,
		);
		expect(events).toEqual([
			entry(1, null, "log"),
			{ type: "write", file: 1, offset: 512, bytes: Buffer.from("abc"), endedAt: 1 },
			{ type: "resize", file: 1, size: 100, endedAt: 2 },
			{ type: "sync", inode: 1, begunAt: 3, endedAt: 3 },
			{ ...entry(1, "log", "old"), endedAt: 4 },
			{ type: "entry", folder: 0, removes: "old", adds: null, endedAt: 5 },
			{ type: "ack", seq: 12, endedAt: 8 },
		]);
	});

	it.each([
		[
			"mapped into memory",
			`7 mmap(NULL, 4096, PROT_READ, MAP_SHARED, 5<${PATH}>, 0) = 0x7f01`,
			/mmap is not known/,
		],
		[
			"given room by an unknown call",
			`7 fallocate(5<${PATH}>, 0, 0, 4096) = 0`,
			/fallocate is not known/,
		],
		["written where it ends", `7 write(5<${PATH}>, "${hex("a")}", 1) = 1`, /descriptor that reads/],
		["given a second descriptor", `7 dup(5<${PATH}>) = 6<${PATH}>`, /dup is not known/],
		[
			"given one by fcntl",
			`7 fcntl(5<${PATH}>, F_DUPFD_CLOEXEC, 0) = 6<${PATH}>`,
			/F_DUPFD_CLOEXEC is not known/,
		],
		[
			"refused a write",
			`7 pwrite64(5<${PATH}>, "${hex("a")}", 1, 0) = -1 ENOSPC (No space)`,
			/it failed: pwrite64/,
		],
		["opened by somebody unseen", `7 fsync(9<${PATH}>) = 0`, /nobody has opened/],
		[
			"shared with a second process",
			"7 clone(child_stack=NULL, flags=SIGCHLD) = 9",
			/second process/,
		],
		["linked", `7 link("${PATH}", "${hex("/r/two")}") = 0`, /link is not known/],
		[
			"moved out of its folder",
			`7 rename("${PATH}", "${hex("/x/log")}") = 0`,
			/from folder to folder/,
		],
	])("are an error when one is %s", (_, line, why) => {
		expect(() => follow(line)).toThrow(why);
	});

	it("elsewhere do not matter", () => {
		const other = hex("/else");
		expect(follow(`7 fallocate(8<${other}>, 0, 0, 4096) = 0`).length).toBe(1);
		expect(follow(`7 unlink("${hex("/r/none")}") = -1 ENOENT (No such file)`).length).toBe(1);
	});
});

const entry = (inode: number, removes: string | null, name: string) => ({
	type: "entry",
	folder: 0,
	removes,
	adds: { name, inode, isFolder: false },
	endedAt: 0,
});
