// `lees serve` as its user has it: a controller with the rig model, the server and a page, each a
// process or a client of its own. Paired by the code on the controller's terminal, ordered,
// watched, stopped, fetched into the archive, killed and found again; and its words to bad input.

import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { rigFile, root } from "../stories/world.ts";
import { command, lees } from "./cli.ts";
import { sleep, until } from "./live.ts";
import { Page } from "./serve-page.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-serve-live-"));
const socket = join(folder, "link");
const archive = join(folder, "archive.sqlite");
const processes: ChildProcess[] = [];

interface Started {
	readonly child: ChildProcess;
	said: string;
}

function start(...args: readonly string[]): Started {
	const child = spawn(process.execPath, [command, ...args], {
		cwd: folder,
		stdio: ["ignore", "pipe", "pipe"],
	});
	processes.push(child);
	const started: Started = { child, said: "" };
	for (const stream of [child.stdout, child.stderr]) {
		stream?.on("data", (text: Buffer) => {
			started.said += text.toString();
		});
	}
	return started;
}

const control = () =>
	start("control", rigFile, "--board", "model", "--log", join(folder, "log"), "--socket", socket);

async function serve(...args: readonly string[]): Promise<Started & { origin: string }> {
	const started = start("serve", ...args, "--listen", "127.0.0.1:0");
	await until(() => /pages at http\S+/.test(started.said), 20);
	const origin = /pages at (http:\/\/[^/]+)/.exec(started.said)?.[1] ?? "";
	return Object.assign(started, { origin });
}

async function ended({ child }: Started): Promise<number | null> {
	await until(() => child.exitCode !== null, 10);
	return child.exitCode;
}

beforeAll(() => {
	// The build of the pages is another stage's; this test looks at none of them.
	const web = join(root, ".build/web");
	if (existsSync(web)) return;
	mkdirSync(web, { recursive: true });
	writeFileSync(join(web, "live.html"), "<!doctype html><title>live</title>");
});
afterAll(() => {
	for (const child of processes) child.kill("SIGKILL");
});

describe("a rig, a server and two phones", () => {
	it("pair, order, watch it pump, stop; the log is in the archive; the rig goes and returns", {
		timeout: 120_000,
	}, async () => {
		let controller = control();
		const server = await serve(socket, "--archive", archive);
		const page = new Page(server);
		const other = new Page(server);
		await Promise.all([page.look(), other.look()]);
		await until(() => page.scene.link.isUp && page.scene.rig !== null, 30);
		expect((await page.post("/api/pair/show")).body).toMatchObject({ at: "controller" });
		await until(() => /within three minutes: \d{6}/.test(controller.said), 5);
		const code = /three minutes: (\d{6})/.exec(controller.said)?.[1];
		expect((await page.post("/api/pair", { code })).status).toBe(200);

		await until(() => page.scene.senses?.sensed?.probe === "dry", 20);
		const work = { polish: { tank: "port", hours: 1, attended: true, sweepFirst: false } };
		const ordered = await page.post("/api/order", { id: "first", work });
		expect(ordered.body).toEqual({ accepted: true, reasons: [] });
		await until(() => other.scene.status?.state === "polishing", 60);
		expect(other.scene.status?.pumpDemanded).toBe(true);
		expect(other.scene.session.may).toBe("look");
		await sleep(4);
		expect(other.points.at(-1)?.flowLph).toBeGreaterThan(50);
		expect(other.scene.events.some(({ what }) => what.startsWith("Order taken"))).toBe(true);

		// The other phone was never paired: it may stop all the same.
		expect((await other.post("/api/stop", { id: "stop" })).body.accepted).toBe(true);
		await until(() => page.scene.status?.pumpDemanded === false, 2);
		await until(
			() => page.series.at(-1)?.run.some(({ flowLph }) => (flowLph ?? 0) > 50) === true,
			5,
		);

		await until(() => existsSync(archive), 20);
		await until(() => lees(["runs", "--archive", archive]).stdout.includes("port"), 20);

		controller.child.kill("SIGKILL");
		await until(() => !page.scene.link.isUp, 10);
		controller = control();
		await until(() => page.scene.link.isUp && page.scene.boot === 2, 40);
		expect((await page.post("/api/stop", { id: "again" })).status).toBe(200);
		page.close();
		other.close();
		server.child.kill("SIGTERM");
		expect(await ended(server)).toBe(0);
		controller.child.kill("SIGTERM");
		await ended(controller);
	});

	it("serves the bench alone, and ends on Ctrl-C while pages look", {
		timeout: 40_000,
	}, async () => {
		const server = await serve();
		const page = new Page(server);
		await page.look();
		expect(page.scene.link.why).toContain("without a controller");
		server.child.kill("SIGINT");
		expect(await ended(server)).toBe(0);
		page.close();
	});

	it("cautions who opens it to a network", { timeout: 40_000 }, async () => {
		const server = start("serve", "--listen", "0.0.0.0:0");
		await until(() => server.said.includes("Ctrl-C"), 20);
		expect(server.said).toContain("whoever is on that network can look");
		server.child.kill("SIGTERM");
		expect(await ended(server)).toBe(0);
	});
});

describe("bad input", () => {
	it.each([
		[["--listen", "nowhere"], "HOST:PORT"],
		[["--listen", "127.0.0.1:70000"], "HOST:PORT"],
		[["--listen", "192.0.2.1:8437"], "an address that this computer does not have"],
		[["--archive", "/nowhere/archive.sqlite"], "/nowhere/archive.sqlite"],
	])("%j ends with 2 and says what is allowed", (args, words) => {
		const { status, stderr } = lees(["serve", ...args]);
		expect(status).toBe(2);
		expect(stderr).toContain(words);
		expect(stderr).not.toContain("    at ");
	});

	it("a port that another program has", async () => {
		const taken = createServer();
		await new Promise<void>((resolve) => taken.listen(0, "127.0.0.1", resolve));
		const address = taken.address();
		const port = typeof address === "object" ? address?.port : 0;
		const { status, stderr } = lees(["serve", "--listen", `127.0.0.1:${port}`]);
		expect(status).toBe(2);
		expect(stderr).toContain("a port that another program has");
		taken.close();
	});
});
