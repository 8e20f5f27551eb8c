// A disk that fails, at each of its calls in turn: full, read-only, and with errors on read, write
// and sync, made by strace while a process of its own lives a store's whole life (store-work.ts), a
// new store's and one's that was cut off. Each ends in a store that has failed and says so; what it
// had acknowledged is there afterwards, the chain holds, and neither the file set aside nor a sound
// one is lost or set aside for it.

import { spawn } from "node:child_process";
import { cpSync, existsSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it } from "vitest";
import { followed } from "../../firmware/log/digest.ts";
import { openStore } from "../../firmware/log/store-opening.ts";
import { root } from "../stories/world.ts";

const work = join(root, ".build/test/e2e/store-work.js");
const NOTES = "what was in the way\n".repeat(9);
const CALLS = "openat,pread64,pwrite64,fsync,fdatasync,ftruncate,rename,unlink,access";

type Fault = readonly [call: string, error: string];

/** What fails in a new store's life, and with which error. */
const IN_A_NEW_ONE: readonly Fault[] = [
	["pwrite64", "ENOSPC"],
	["pwrite64", "EIO"],
	["fsync", "EIO"],
	["openat", "EROFS"],
	["ftruncate", "EIO"],
	["rename", "EROFS"],
	["unlink", "EROFS"],
];
const IN_AN_OLD_ONE: readonly Fault[] = [
	["pread64", "EIO"],
	["openat", "EROFS"],
	["fsync", "EIO"],
];

interface Life {
	readonly folder: string;
	readonly status: number | null;
	readonly stdout: string;
	/** Calls on the store's files, in order. */
	readonly trace: readonly string[];
}

/** A folder in which somebody's notes are where the store should be. */
function withNotes(): string {
	const folder = mkdtempSync(join(tmpdir(), "lees-faults-"));
	writeFileSync(join(folder, "log.sqlite"), NOTES);
	return folder;
}

/** @param fault an `inject` of strace */
function live(folder: string, fault?: string, end = "closed"): Promise<Life> {
	const traceFile = join(folder, "trace");
	const names = ["", "log.sqlite", "log.sqlite-wal", "log.sqlite-journal", "log.broken-1.sqlite"];
	const paths = [...names, "closing"].flatMap((name) => ["-P", join(folder, name)]);
	const inject = fault === undefined ? [] : ["-e", `inject=${fault}`];
	const strace = ["-f", "-y", "--seccomp-bpf", "-o", traceFile, ...paths, "-e", `trace=${CALLS}`];
	return new Promise((resolve) => {
		const child = spawn("strace", [...strace, ...inject, process.execPath, work, folder, end]);
		let stdout = "";
		child.stdout.on("data", (text: Buffer) => {
			stdout += text.toString();
		});
		child.stderr.resume();
		child.on("close", (status) => {
			const trace = readFileSync(traceFile, "utf8").split("\n");
			resolve({ folder, status, stdout, trace });
		});
	});
}

const countOf = (trace: readonly string[], call: string) =>
	trace.filter((line) => new RegExp(`^\\d+\\s+${call}\\(`).test(line)).length;

/** What the process was told is durable is there and chained, in a store that opens again. */
function expectKept({ folder, stdout }: Life): void {
	const acked = [...stdout.matchAll(/^ack (\d+)$/gm)].map(([, seq]) => Number(seq));
	const { store } = openStore(join(folder, "log.sqlite"));
	let end = { seq: 0, chain: store.storeId };
	for (const row of store.read(1, 1_000)) end = followed(end, row) ?? { seq: -1, chain: "" };
	store.close();
	expect(end.seq).toBeGreaterThanOrEqual(acked.at(-1) ?? 0);
	expect(readFileSync(join(folder, "log.broken-1.sqlite"), "utf8")).toBe(NOTES);
	expect(existsSync(join(folder, "log.broken-2.sqlite"))).toBe(false);
}

/**
 * "failed" or "harmless". SQLite asks for the folder's sync too and does not mind when it fails;
 * ours does. Once the store is being closed everything has been acknowledged, and stays in its
 * write-ahead log.
 */
function judge({ folder, stdout, trace }: Life): "failed" | "harmless" {
	const at = trace.findIndex((line) => line.includes("(INJECTED)"));
	const closing = trace.findIndex((line) => line.includes("/closing"));
	const { failure } = JSON.parse(/^\{.*\}$/m.exec(stdout)?.[0] ?? "{}");
	if (typeof failure === "string") return "failed";
	expect(failure).toBeNull();
	const line = trace[at] ?? "";
	const isFolder = line.includes(`${folder}"`) || line.includes(`<${folder}>`);
	const isHarmless = (closing >= 0 && at > closing) || isFolder;
	if (!isHarmless) throw new Error(`nobody minded: ${line}`);
	return "harmless";
}

/** Lives once for each call of that kind, in two processes at a time. */
async function failEach(makeFolder: () => string, faults: readonly Fault[]) {
	const sound = await live(makeFolder());
	expectKept(sound);
	const todo = faults.flatMap(([call, error]) =>
		Array.from({ length: countOf(sound.trace, call) }, (_, i) => ({ call, error, at: i + 1 })),
	);
	const counts: Record<string, { failed: number; harmless: number }> = {};
	const lane = async () => {
		for (let next = todo.shift(); next !== undefined; next = todo.shift()) {
			const { call, error, at } = next;
			const life = await live(makeFolder(), `${call}:error=${error}:when=${at}`);
			const what = `${error} on ${call}`;
			expect(life.status, `${what} ${at}`).toBe(0);
			const injected = life.trace.filter((line) => line.includes("(INJECTED)"));
			expect(injected.length, `${what} ${at}`).toBe(1);
			counts[what] ??= { failed: 0, harmless: 0 };
			counts[what][judge(life)] += 1;
			expectKept(life);
		}
	};
	await Promise.all([lane(), lane()]);
	console.log(counts);
	return counts;
}

it("each failing call of a new store ends in a failed one that has lost nothing", {
	timeout: 600_000,
}, async () => {
	const counts = await failEach(withNotes, IN_A_NEW_ONE);
	expect(counts["ENOSPC on pwrite64"]?.failed).toBeGreaterThan(30);
	expect(counts["EIO on pwrite64"]?.failed).toBeGreaterThan(30);
	expect(counts["EIO on fsync"]?.failed).toBeGreaterThan(15);
	expect(counts["EROFS on openat"]?.failed).toBeGreaterThan(5);
});

it("so does each of a store that was cut off, and none makes a sound file be set aside", {
	timeout: 600_000,
}, async () => {
	const cut = withNotes();
	expect((await live(cut, undefined, "cut")).stdout).toContain("ack 43");
	expect(existsSync(join(cut, "log.sqlite-wal"))).toBe(true);
	const copied = () => {
		const folder = mkdtempSync(join(tmpdir(), "lees-faults-"));
		for (const name of ["log.sqlite", "log.sqlite-wal", "log.broken-1.sqlite"]) {
			cpSync(join(cut, name), join(folder, name));
		}
		return folder;
	};
	const counts = await failEach(copied, IN_AN_OLD_ONE);
	expect(counts["EIO on pread64"]?.failed).toBeGreaterThan(20);
	expect(counts["EIO on fsync"]?.failed).toBeGreaterThan(15);
});
