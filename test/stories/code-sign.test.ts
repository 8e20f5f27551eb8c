// The terminal on which codes are shown: a person can read them there, and one that is held up
// holds up nobody else.

import { execFileSync } from "node:child_process";
import { closeSync, constants, mkdtempSync, openSync, readSync, writeSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { CodeSign, codeWords } from "../../host/cli/code-sign.ts";

const sleep = (ms: number) => new Promise((resolve) => setTimeout(resolve, ms));

function pipe() {
	const path = join(mkdtempSync(join(tmpdir(), "lees-sign-")), "pipe");
	execFileSync("mkfifo", [path]);
	// Both ways, so that neither end waits for the other to be opened.
	const writing = openSync(path, constants.O_RDWR);
	const reading = openSync(path, constants.O_RDWR | constants.O_NONBLOCK);
	const bytes = Buffer.alloc(65_536);
	const read = () => bytes.subarray(0, readSync(reading, bytes)).toString();
	const fill = () => {
		try {
			for (;;) writeSync(reading, Buffer.alloc(4_096, "-"));
		} catch {}
	};
	return { writing, read, fill, close: () => [writing, reading].forEach(closeSync) };
}

describe("a code on the terminal", () => {
	it("stands there with what it lets do, and for how long", async () => {
		const { writing, read, close } = pipe();
		new CodeSign(writing).show("012345", 0);
		await sleep(50);
		const said = read();
		expect(said).toBe(codeWords("012345", 0));
		expect(said).toContain("012345\n");
		expect(said).toMatch(/may start the pump.*three minutes/s);
		close();
	});

	it("says that somebody may be guessing when codes go unused", () => {
		expect(codeWords("012345", 2)).not.toContain("the link");
		expect(codeWords("012345", 3)).toContain("Nobody used the 3 before it");
	});

	it("waits beside everything else where the terminal takes nothing, and alone", async () => {
		const { writing, read, fill, close } = pipe();
		fill();
		const sign = new CodeSign(writing);
		const begunMs = performance.now();
		for (let n = 0; n < 1_000; n += 1) sign.show(String(n).padStart(6, "0"), 0);
		await sleep(20);
		// Written as Node writes to a terminal, the first one would still stand here.
		expect(performance.now() - begunMs).toBeLessThan(5_000);
		let said = "";
		while (!said.includes("\n")) {
			await sleep(20);
			said += read().replaceAll("-", "");
		}
		expect(said).toContain("000000\n");
		sign.show("777777", 0);
		await sleep(50);
		expect(read()).toBe(codeWords("777777", 0));
		close();
	});

	it("is lost without a word where the terminal has gone", async () => {
		// Nothing is open under such a number.
		const sign = new CodeSign(2 ** 30);
		sign.show("012345", 0);
		await sleep(50);
		expect(() => sign.show("012345", 0)).not.toThrow();
		await sleep(50);
	});
});
