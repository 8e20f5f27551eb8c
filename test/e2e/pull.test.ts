// `lees pull` and `lees order` as a person has them on a line that comes and goes: progress on a
// terminal and only there, an end by the keyboard that keeps what came, a pull that follows, and an
// order that is asked again without being done twice.

import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { Archive } from "../../host/archive/archive.ts";
import { drawLog } from "../archive/drawn-log.ts";
import { rigFile } from "../stories/world.ts";
import { CableBench } from "./cable-bench.ts";
import { command } from "./cli.ts";
import { sleep, until } from "./live.ts";

const bench = new CableBench(4, drawLog(9, 20, 1_600));
const { cable } = bench;

const file = (name: string) => join(cable.folder, name);

function start(program: string, args: readonly string[]) {
	const child = bench.spawn(program, args, { stdio: ["ignore", "pipe", "pipe"] });
	const run = { child, stdout: "", stderr: "", ended: false };
	child.stdout?.on("data", (bytes: Buffer) => {
		run.stdout += bytes.toString();
	});
	child.stderr?.on("data", (bytes: Buffer) => {
		run.stderr += bytes.toString();
	});
	child.on("close", () => {
		run.ended = true;
	});
	return run;
}
const lees = (...args: string[]) => start(process.execPath, [command, ...args]);

describe("a pull", () => {
	it("that is ended in the middle keeps what came, says so, and the next goes on there", {
		timeout: 60_000,
	}, async () => {
		const args = ["pull", cable.ashore, "--archive", file("a.sqlite")];
		const first = lees(...args);
		await sleep(2.5);
		first.child.kill("SIGINT");
		await until(() => first.ended, 10);
		expect(first.child.exitCode).toBe(1);
		expect(first.stderr).toBe("");
		const [, kept = ""] = /Ended early: all up to record (\d+) is kept/.exec(first.stdout) ?? [];
		expect(Number(kept)).toBeGreaterThan(100);
		const archive = new Archive(file("a.sqlite"), { create: false });
		expect(archive.last(bench.served.store.storeId)?.seq).toBe(Number(kept));
		archive.close();
		const second = lees(...args, "--json");
		await until(() => second.ended, 40);
		expect(second.child.exitCode).toBe(0);
		const got = JSON.parse(second.stdout);
		expect(got.records).toBe(bench.served.records.length - Number(kept));
		expect(got).toMatchObject({ isComplete: true, lastSeq: bench.served.records.length });
		// The boot that runs is dated by this very pull; those before it by nobody.
		expect(got.dated).toEqual([bench.served.store.last.boot]);
		expect(got.undated.length).toBe(bench.served.store.last.boot - 1);
	});

	it("shows its progress on a terminal, over a cable that is pulled and put back", {
		timeout: 60_000,
	}, async () => {
		const to = file("b.sqlite");
		const pull = `${process.execPath} ${command} pull ${cable.ashore} --archive ${to}`;
		const run = start("script", ["-qec", pull, "/dev/null"]);
		await sleep(2);
		await cable.pull(1, false);
		await until(() => run.ended, 40);
		expect(run.stdout).toMatch(/record \d+ of \d+ {2}[\d.]+ kB {2}[\d.]+ kB\/s {2}0:00:\d\d left/);
		expect(run.stdout).toContain("the line is lost; waiting for it to come back");
		expect(run.stdout).toContain(`${bench.served.records.length} new records`);
		expect(run.child.exitCode).toBe(0);
	});

	it("that follows goes on until it is stopped, and ends well", { timeout: 60_000 }, async () => {
		const args = ["pull", cable.ashore, "--archive", file("a.sqlite"), "--follow"];
		const run = lees(...args);
		await sleep(3);
		expect(run.ended).toBe(false);
		run.child.kill("SIGTERM");
		await until(() => run.ended, 10);
		expect(run.child.exitCode).toBe(0);
		expect(run.stdout).toContain(": 0 new records (0 samples, 0 runs, 0 trips)");
	});

	it("gives up a line that stays away, with what it waited for", { timeout: 60_000 }, async () => {
		const run = lees(
			"pull",
			cable.ashore,
			"--archive",
			file("c.sqlite"),
			"--patience-seconds",
			"1",
		);
		await sleep(2);
		const back = cable.pull(6, false);
		await until(() => run.ended, 20);
		expect(run.child.exitCode).toBe(2);
		expect(run.stderr).toContain("found no line for 1 s after it was lost");
		expect(run.stderr).toMatch(/^\d+ new records, up to record \d+, kept in .*c\.sqlite$/m);
		expect(run.stderr).not.toMatch(/\n\s+at /);
		await back;
	});
});

describe("an order that is not answered", () => {
	it("says with which id it may be asked again", { timeout: 60_000 }, async () => {
		const run = lees("order", "polish", cable.ashore, "--tank", "port", "--litres", "1");
		await sleep(0.1);
		void cable.fallSilent(30);
		await until(() => run.ended, 30);
		expect(run.child.exitCode).toBe(2);
		expect(run.stderr).toMatch(
			/No answer to this polish\. Ask again with --id [0-9a-f-]{36}: it will not be done twice\./,
		);
	});

	it("is done once when it is asked again with its id", { timeout: 60_000 }, async () => {
		const socket = file("controller");
		const args = ["--board", "model", "--log", file("log"), "--socket", socket];
		const controller = lees("control", rigFile, ...args);
		await until(() => controller.stdout.includes("controlling"), 30);
		await sleep(1.5);
		const order = async () => {
			const polish = ["order", "polish", socket, "--tank", "port", "--litres", "1", "--attended"];
			const run = lees(...polish, "--id", "port-1");
			await until(() => run.ended, 30);
			return run.stdout + run.stderr;
		};
		expect(await order()).toBe("polish accepted\n");
		expect(await order()).toBe("polish accepted\n");
		const pulled = lees("pull", socket, "--archive", file("d.sqlite"), "--json");
		await until(() => pulled.ended, 30);
		expect(JSON.parse(pulled.stdout).runs).toBe(1);
	});
});
