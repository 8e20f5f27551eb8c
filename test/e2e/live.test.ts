// The cycle outside the model: a polish ordered over a serial link, pumped by an emulated board on
// a pseudo-terminal, fetched into the archive; a controller killed in mid-run and started again.

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, afterEach, beforeAll, describe, expect, it } from "vitest";
import type { RunAnswer, TotalAnswer } from "../../host/archive/answers.ts";
import { LiveRig, sleep, until } from "./live.ts";

const rig = new LiveRig();
beforeAll(() => rig.start(), 30_000);
afterAll(() => rig.end());
// One that failed must not leave its controller on the ports for the next.
afterEach(() => rig.endControllers());

const orderPolish = (litres: string) =>
	rig.lees("order", "polish", rig.linkAshore, "--tank", "port", "--litres", litres, "--attended");
const pull = () => rig.lees("pull", rig.linkAshore, "--archive", rig.archive, "--json");
const read = async <T>(what: string): Promise<T> =>
	JSON.parse((await rig.lees(what, "--archive", rig.archive, "--json")).stdout);

describe("a whole polish over serial lines", () => {
	let first: RunAnswer | undefined;

	it("is ordered, pumped, and fetched", { timeout: 120_000 }, async () => {
		const controller = await rig.control();
		const answer = await orderPolish("0.4");
		expect(answer).toMatchObject({ status: 0, stdout: "polish accepted\n", stderr: "" });
		await until(() => rig.pumpPowered(), 40);
		await until(() => !rig.pumpDemanded() && !rig.pumpPowered(), 60);
		await sleep(1.5);
		const pulled = await pull();
		expect(pulled.status).toBe(0);
		const runs = await read<RunAnswer[]>("runs");
		expect(runs.length).toBe(1);
		[first] = runs;
		expect(first).toMatchObject({ tank: "port", goalLitres: 0.4, outcome: "finished", trips: [] });
		const truth = rig.edges().findLast((line) => line.truth !== undefined)?.truth;
		expect((first?.litres ?? 0) / (truth?.litresThroughPump ?? 0)).toBeCloseTo(1, 1);
		expect(first?.motorHours).toBeCloseTo((truth?.pumpOnSeconds ?? 0) / 3600, 3);
		const totals = await read<TotalAnswer[]>("totals");
		// A pulse or two may come after the run's end: they stand in a row of their own.
		const ordered = totals.filter(({ of }) => of !== "no order");
		expect(ordered.map(({ of, name }) => [of, name])).toEqual([
			["tank", "port"],
			["element", "element"],
			["rig", "rig"],
		]);
		expect(totals.find(({ of }) => of === "no order")?.litres ?? 0).toBeLessThan(0.02);
		writeFileSync(join(rig.folder, "notes.txt"), "oil change in spring");
		const other = await rig.lees("pull", rig.linkAshore, "--archive", "notes.txt");
		expect(other).toMatchObject({ status: 2, stderr: expect.stringContaining("no archive") });
		expect(readFileSync(join(rig.folder, "notes.txt"), "utf8")).toBe("oil change in spring");
		controller.kill("SIGTERM");
		await until(() => controller.exitCode !== null, 10);
		expect(controller.exitCode).toBe(0);
	});

	it("sweeps in bursts and stands, until it is stopped", { timeout: 120_000 }, async () => {
		const controller = await rig.control();
		const answer = await rig.lees("order", "sweep", rig.linkAshore, "--tank", "port", "--attended");
		expect(answer).toMatchObject({ status: 0, stdout: "sweep accepted\n" });
		const switchings = () => rig.edges().filter(({ pumpPowered }) => pumpPowered === true).length;
		const before = switchings();
		await until(() => switchings() >= before + 2, 110);
		expect((await rig.lees("order", "stop", rig.linkAshore)).status).toBe(0);
		await until(() => !rig.pumpPowered(), 5);
		controller.kill("SIGTERM");
		await until(() => controller.exitCode !== null, 10);
	});

	it("a terminal that closes in mid-run stops the pump and ends the run", {
		timeout: 120_000,
	}, async () => {
		const controller = await rig.control();
		expect((await orderPolish("5")).status).toBe(0);
		await until(() => rig.pumpPowered(), 40);
		controller.kill("SIGHUP");
		await until(() => controller.exitCode !== null, 10);
		expect(controller.exitCode).toBe(0);
		expect(rig.pumpDemanded()).toBe(false);
	});

	it("refuses what it must, with the reason", { timeout: 60_000 }, async () => {
		const controller = await rig.control();
		const order = ["order", "polish", rig.linkAshore, "--tank", "port", "--litres", "1"];
		const unattended = await rig.lees(...order);
		expect(unattended.status).toBe(1);
		expect(unattended.stdout).toContain("the rig is not commissioned; the plan is not armed");
		const transfer = ["order", "transfer", rig.linkAshore, "--attended", "--litres", "5"];
		const into = await rig.lees(...transfer, "--from", "port", "--to", "port");
		expect(into.status).toBe(1);
		expect(into.stdout).toContain("from port into port moves nothing");
		const beyond = ["--from", "port", "--to", "day", "--to-dip-litres", "82"];
		expect((await rig.lees(...transfer, ...beyond)).stdout).toContain("5 L is beyond day");
		// Nobody has told the time yet; then the past is past, and what comes may be cancelled.
		const at = (time: string) => rig.lees(...order, "--attended", "--at", time);
		expect((await at("2026-01-01T10:00")).stdout).toContain("the time is unknown");
		expect(await rig.lees("clock", rig.linkAshore)).toMatchObject({ status: 0, stderr: "" });
		expect((await at("2026-01-01T10:00")).stdout).toContain("2026-01-01T10:00 is past");
		const planned = await at("2099-01-01T10:00");
		expect(planned.status).toBe(0);
		const [id = ""] = /[0-9a-f-]{36}/.exec(planned.stdout) ?? [];
		const cancel = () => rig.lees("order", "cancel-plan", rig.linkAshore, id);
		expect(await cancel()).toMatchObject({ status: 0, stdout: "cancelling accepted\n" });
		expect((await cancel()).stdout).toContain(`no plan "${id}" waits`);
		controller.kill("SIGTERM");
		await until(() => controller.exitCode !== null, 10);
	});

	it("killed in mid-run: supply gone within 2 s; restarted: pump off, the run interrupted", {
		timeout: 120_000,
	}, async () => {
		const controller = await rig.control();
		expect((await orderPolish("5")).status).toBe(0);
		await until(() => rig.pumpPowered(), 40);
		await sleep(6);
		const before = JSON.parse((await pull()).stdout);
		const killedMs = Date.now();
		controller.kill("SIGKILL");
		await sleep(3);
		// The board holds its pins: only the missing beat has opened the supply.
		expect(rig.pumpDemanded()).toBe(true);
		const gone = rig.edges().findLast(({ pumpPowered }) => pumpPowered !== undefined);
		expect(gone?.pumpPowered).toBe(false);
		expect((gone?.wallMs ?? Infinity) - killedMs).toBeLessThan(2_000);

		await rig.control();
		await sleep(1);
		expect(rig.pumpDemanded()).toBe(false);
		const after = JSON.parse((await pull()).stdout);
		expect(after.lastSeq).toBeGreaterThan(before.lastSeq);
		const runs = await read<RunAnswer[]>("runs");
		const outcomes = runs.map(({ outcome }) => outcome);
		expect(outcomes).toEqual(["finished", "stopped", "stopped", "interrupted"]);
		// A later clock may date it better.
		expect({ ...runs[0], began: null, ended: null }).toEqual({
			...first,
			began: null,
			ended: null,
		});
		expect(runs[3]?.litres).toBeGreaterThan(0);
		// Latched: no new order until a person has acknowledged it at the box.
		const refused = await orderPolish("1");
		expect(refused.status).toBe(1);
		expect(refused.stdout).toContain("the controller is tripped");
		const byLink = await rig.lees("order", "acknowledge", rig.linkAshore);
		expect(byLink.stdout).toContain("interrupted is acknowledged at the box only");
	});
});
