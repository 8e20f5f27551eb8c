// `lees report` as its user runs it: text that fits, JSON by its schema, HTML and PDF in new files
// alone, units, limits, and what it refuses. Needs the build.

import { mkdtempSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { Archive } from "../../host/archive/archive.ts";
import { seasonAnswer } from "../../host/report/season-schema.ts";
import { DEMO_RIG, demoFile, makeDemo } from "../archive/demo-archive.ts";
import { makeSeason } from "../archive/drawn-season.ts";
import { RIG, StoreWriter } from "../archive/season-log.ts";
import { lees } from "./cli.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-report-"));
const season = join(folder, "season.sqlite");
makeSeason(season, 7);
const demo = demoFile(folder);
makeDemo(demo);
const run = (args: string[], archive = season) => lees(["report", ...args, "--archive", archive]);

describe("lees report", () => {
	it.each([
		["a drawn season", season],
		["played scenarios", demo],
	])("tells %s in lines of 100 columns", (_, archive) => {
		const { status, stdout, stderr } = run([], archive);
		expect([status, stderr]).toEqual([0, ""]);
		expect(stdout.split("\n").filter((line) => [...line].length > 100)).toEqual([]);
		expect(stdout).not.toMatch(/undefined|NaN|null|Infinity/);
		expect(stdout).toContain("INVENTED DATA");
		expect(stdout).toContain("UNDATED");
		expect(stdout).toContain("Nothing here says that fuel is clean");
	});

	it("prints JSON as the schema says", () => {
		const answer = seasonAnswer.parse(JSON.parse(run(["--json"], demo).stdout));
		expect(answer).toMatchObject({ rig: DEMO_RIG, isInvented: true, undatedRuns: 2, runs: 5 });
		expect(answer.elements.at(-1)?.trend.length).toBe(3);
	});

	it("writes HTML and PDF of the paper and units asked for, and never over a file", () => {
		const [html, pdf] = [join(folder, "s.html"), join(folder, "s.pdf")];
		const args = ["--html", html, "--pdf", pdf, "--paper", "Letter", "--units", "gal", "inHg"];
		const first = run(args);
		expect([first.status, first.stdout]).toEqual([0, `written: ${html}, ${pdf}\n`]);
		expect(readFileSync(html, "utf8")).toMatch(/size: Letter.*US gal by the meter/s);
		expect(readFileSync(pdf).subarray(0, 5).toString()).toBe("%PDF-");
		const again = run(args);
		expect(again.status).toBe(2);
		expect(again.stderr).toContain("a file that is there already");
		// One of two that is there: the other is not made.
		const other = join(folder, "t.html");
		expect(run(["--html", other, "--pdf", pdf]).status).toBe(2);
		expect(readdirSync(folder)).not.toContain("t.html");
	});

	it("takes the limits of what is due and what is ready", () => {
		const due = (args: string[]) =>
			seasonAnswer.parse(JSON.parse(run(["--json", ...args]).stdout)).tanks[0]?.due;
		const standing = (args: string[]) =>
			due(args)?.reasons.find(({ code }) => code === "standing")?.days;
		expect([standing([]), standing(["--standing-days", "90"])]).toEqual([30, 90]);
		const uplift = due(["--uplift-days", "21"])?.reasons.find(({ code }) => code === "uplift");
		expect(uplift?.days).toBe(21);
	});

	it("refuses what it cannot do, without a stack", () => {
		const empty = join(folder, "empty.sqlite");
		new Archive(empty, { create: true }).close();
		const two = join(folder, "two.sqlite");
		makeSeason(two, 1);
		const archive = new Archive(two, { create: false });
		new StoreWriter("5ea50001-invented", "Another rig").boot(Date.UTC(2024, 3, 1)).addTo(archive);
		archive.close();
		const none = join(folder, "none.txt");
		writeFileSync(none, "no archive");
		const refusals = [
			run([], empty),
			run([], two),
			run(["--rig", "none"]),
			run([], none),
			run([], join(folder, "missing.sqlite")),
			run(["--html", join(folder, "no/such/folder.html")]),
			run(["--html", join(folder, "one"), "--pdf", join(folder, "one")]),
		];
		expect(refusals.map(({ status }) => status)).toEqual([2, 2, 2, 2, 2, 2, 2]);
		for (const { stderr, stdout } of refusals) {
			expect(stderr).not.toMatch(/^\s+at /m);
			expect(stdout).toBe("");
		}
		expect(refusals[1]?.stderr).toContain(`Another rig, ${RIG}`);
		expect(run(["--rig", RIG], two).status).toBe(0);
		expect(run(["--paper", "A5"]).status).not.toBe(0);
	});
});
