// The disk of the proof by itself: what is there after a cut, for each fate of what was not
// synced.

import { describe, expect, it } from "vitest";
import { Disk, type Fate, sectorsOf } from "./disk.ts";
import type { DiskEvent } from "./live-files.ts";

const born = (name: string, inode: number): DiskEvent => ({
	type: "entry",
	folder: 0,
	removes: null,
	adds: { name, inode, isFolder: false },
});
const write = (offset: number, text: string): Extract<DiskEvent, { type: "write" }> => ({
	type: "write",
	file: 1,
	offset,
	bytes: Buffer.from(text),
});
const sync = (inode: number, begunAt = Number.POSITIVE_INFINITY): DiskEvent => ({
	type: "sync",
	inode,
	begunAt,
});

function after(events: readonly DiskEvent[], ...fates: Fate[]): Record<string, string> {
	const disk = new Disk();
	events.forEach((event, endedAt) => {
		disk.take({ ...event, endedAt });
	});
	expect(disk.pending.length).toBe(fates.length);
	const image = [...disk.image(fates)];
	return Object.fromEntries(image.map(([path, bytes]) => [path, String(bytes)]));
}

describe("after a cut", () => {
	const made = [born("a", 1), sync(0)];

	it("a file that was synced has no name until its folder was", () => {
		expect(after([born("a", 1), write(0, "x"), sync(1)], "lost")).toEqual({});
		expect(after([born("a", 1), write(0, "x"), sync(1)], "kept")).toEqual({ a: "x" });
		expect(after([born("a", 1), write(0, "x"), sync(0)], "lost")).toEqual({ a: "" });
	});

	it("later writes may be there without earlier ones, with zeros in between", () => {
		const writes = [...made, write(0, "ab"), write(3, "c")];
		expect(after(writes, "lost", "kept")).toEqual({ a: "\0\0\0c" });
		expect(after(writes, "kept", "lost")).toEqual({ a: "ab" });
	});

	it("a torn write is there sector by sector, as the file is cut into them", () => {
		const torn = write(510, "abcd");
		expect(sectorsOf(torn)).toBe(2);
		expect(after([...made, torn], [true, false])).toEqual({ a: `${"\0".repeat(510)}ab` });
		expect(after([...made, torn], [false, true])).toEqual({ a: `${"\0".repeat(512)}cd` });
	});

	it("a sync covers what had ended before it began", () => {
		const writes = [...made, write(0, "a"), write(1, "b"), sync(1, 3)];
		expect(after(writes, "lost")).toEqual({ a: "a" });
	});

	it("a change of size is one of its own", () => {
		const cut = [...made, write(0, "abcd"), sync(1), { type: "resize", file: 1, size: 2 } as const];
		expect(after(cut, "lost")).toEqual({ a: "abcd" });
		expect(after([...cut, write(3, "z")], "kept", "kept")).toEqual({ a: "ab\0z" });
	});

	it("a rename is whole: one name or the other", () => {
		const renamed: DiskEvent = { ...born("b", 1), removes: "a" } as DiskEvent;
		const events = [...made, write(0, "x"), sync(1), renamed];
		expect(after(events, "lost")).toEqual({ a: "x" });
		expect(after(events, "kept")).toEqual({ b: "x" });
	});

	it("equal images have equal prints, and others have not", () => {
		const disk = new Disk();
		for (const event of [...made, write(0, "a"), write(0, "b"), write(0, "b")]) {
			disk.take({ ...event, endedAt: 0 });
		}
		const print = (...fates: Fate[]) => disk.fingerprint(fates);
		expect(print("kept", "kept", "lost")).toBe(print("lost", "lost", "kept"));
		expect(print("kept", "lost", "lost")).not.toBe(print("lost", "lost", "kept"));
	});
});
