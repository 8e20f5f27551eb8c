// The built command on an invented archive, as its user runs it: tables that fit 100 columns, JSON
// by its schemas, exports, notes, and what it refuses. Needs the build.

import { copyFileSync, existsSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import * as z from "zod";
import {
	elementAnswer,
	pastElementAnswer,
	readyAnswer,
	runAnswer,
	totalAnswer,
} from "../../host/archive/answers.ts";
import { Archive } from "../../host/archive/archive.ts";
import { listedNote, spotMapAnswer, wasteLedgerAnswer } from "../../host/archive/note-answers.ts";
import { DEMO_RIG, demoFile, makeDemo } from "../archive/demo-archive.ts";
import { pngOf } from "../serve/small-png.ts";
import { lees } from "./cli.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-book-"));
const demo = demoFile(folder);
makeDemo(demo);

let copies = 0;
/** A copy of the demo for tests that write. */
function ownDemo(): string {
	copies += 1;
	const file = join(folder, `own-${copies}.sqlite`);
	copyFileSync(demo, file);
	return file;
}
const run = (args: string[], file = demo) => lees([...args, "--archive", file]);
const json = (args: string[], file = demo) => JSON.parse(run([...args, "--json"], file).stdout);

describe.each([
	...["runs", "totals", "element", "element --all", "ready"],
	...["note list", "note map", "note ledger"],
])("lees %s", (name) => {
	it("fits 100 columns", () => {
		const { stdout, stderr } = run(name.split(" "));
		expect(stderr).toBe("");
		const wide = stdout.split("\n").filter((line) => [...line].length > 100);
		expect(wide).toEqual([]);
		expect(stdout).not.toMatch(/undefined|NaN|null|Infinity|…/);
	});
});

describe("JSON", () => {
	it("is what the schemas say", () => {
		const runs = z.array(runAnswer).parse(json(["runs"]));
		expect(runs.map(({ outcome }) => outcome)).toContain("interrupted");
		expect(runs.some(({ began }) => "utcMs" in began)).toBe(true);
		expect(runs.some(({ began }) => "after" in began && began.after !== null)).toBe(true);
		z.array(totalAnswer).parse(json(["totals"]));
		z.array(elementAnswer).parse(json(["element"]));
		z.array(readyAnswer).parse(json(["ready"]));
		expect(z.array(listedNote).parse(json(["note", "list"])).length).toBe(6);
		z.array(pastElementAnswer).parse(json(["element", "--all"]));
		z.array(wasteLedgerAnswer.extend({ rig: z.string() })).parse(json(["note", "ledger"]));
		z.array(spotMapAnswer.extend({ rig: z.string() })).parse(json(["note", "map"]));
	});

	it("of one rig, or of one that is not there", () => {
		expect(json(["runs", "--rig", "Teal Willow portable rig"]).length).toBe(5);
		const refused = run(["runs", "--rig", "none"]);
		expect(refused.status).toBe(2);
		expect(refused.stderr).toContain("--rig: found none; allowed: Teal Willow portable rig");
	});
});

describe("lees ready", () => {
	it("ends with 1 when something is not held, and says what", () => {
		const { status, stdout } = run(["ready"]);
		expect(status).toBe(1);
		expect(stdout).toMatch(/NOT waste +\d+ mL drained/);
		expect(stdout).toContain("only a sample");
	});

	it("takes its limits", () => {
		const [before] = json(["ready"]) as Array<z.infer<typeof readyAnswer>>;
		const [after] = json(["ready", "--waste-ml", "5000"]) as Array<z.infer<typeof readyAnswer>>;
		const waste = (answer: typeof before) => answer?.checks.find(({ check }) => check === "waste");
		expect(waste(before)?.status).toBe("not");
		expect(waste(after)?.status).toBe("held");
	});
});

describe("lees export", () => {
	const lines = (args: string[]) =>
		run(["export", ...args])
			.stdout.trimEnd()
			.split(/\r?\n/);

	it("gives every subject in every format, all with as many rows", () => {
		const out = join(folder, "rows");
		for (const what of ["runs", "events", "hours", "notes", "samples"]) {
			const counts = ["csv", "jsonl", "table"].map((format) => {
				run(["export", "--what", what, "--format", format, "--out", out, "--force"]);
				return readFileSync(out, "utf8").trimEnd().split(/\r?\n/).length;
			});
			expect(counts[0], what).toBeGreaterThan(3);
			expect(counts, what).toEqual([counts[0], (counts[0] ?? 0) - 1, counts[0]]);
		}
	});

	it("marks a note that a spreadsheet would take for a formula", () => {
		const table = lines(["--what", "notes", "--format", "table"]);
		expect(table.filter((line) => line.includes("\t'=1+1\t"))).toHaveLength(1);
	});

	it("writes a file, and over one only when told to", () => {
		const out = join(folder, "runs.csv");
		writeFileSync(out, "mine");
		const refused = run(["export", "--out", out]);
		expect(refused.status).toBe(2);
		expect(refused.stderr).toContain("a file that is there already");
		expect(readFileSync(out, "utf8")).toBe("mine");
		expect(run(["export", "--out", out, "--force"]).status).toBe(0);
		expect(readFileSync(out, "utf8").split("\r\n")).toHaveLength(7);
		expect(existsSync(`${out}.part`)).toBe(false);
		const nowhere = run(["export", "--out", join(folder, "no-such", "x.csv")]);
		expect(nowhere.status).toBe(2);
		expect(nowhere.stderr).toContain("found no such folder");
	});
});

describe("lees note", () => {
	it("keeps a note once under its id, and says another one's id", () => {
		const file = ownDemo();
		const uplift = ["note", "uplift", "--tank", "day", "--litres", "40", "--id", "u9"];
		expect(run(uplift, file).stdout).toContain("u9 noted: uplift, 40 L into day");
		expect(run(uplift, file).stdout).toContain("was noted already");
		const other = run([...uplift.slice(0, 5), "41", "--id", "u9"], file);
		expect(other.status).toBe(2);
		expect(other.stderr).toContain("an id that no other note has");
		expect(json(["note", "list"], file).length).toBe(7);
	});

	it("of every kind, with its caution where a hand comes near fuel", () => {
		const file = ownDemo();
		const kinds: Array<[string[], string]> = [
			[["dose", "--tank", "port", "--product", "biocide", "--ml", "60"], "maker's label"],
			[["sample", "--tank", "port", "--of", "tank-bottom", "--looked", "hazy"], "may say clean"],
			[["element-change", "--micron", "10"], "no flame"],
			[["element-change", "--micron", "10"], "lees commission PORT --changed element"],
			[["drained", "--ml", "80"], "never down a drain"],
			[["spare-elements", "--count", "3"], "3 on board"],
			[["waste", "--ml", "80", "--container", "can", "--place", "yard"], "licensed facility"],
			[["engine", "--stands-since", "2026-11-20T07:00"], "stands since 2026-11-20 07:00"],
			[
				["dose", "--tank", "port", "--product", "x", "--ml", "6", "--label", "1 to 2"],
				"label: 1 to 2",
			],
			[
				[
					...["sample", "--tank", "port", "--of", "tank-bottom", "--looked", "clear"],
					...["--clear-and-bright", "yes"],
				],
				"clear, clear and bright",
			],
			[
				["drained", "--ml", "80", "--tank", "port", "--container", "red can"],
				"80 mL from port into red can",
			],
			[["spot-map", "--tank", "port", "--spots", "fore-low,aft"], "port has fore-low, aft"],
			[["spots", "--tank", "port", "--spots", "aft"], "arm it at the rig again"],
		];
		for (const [args, says] of kinds) {
			const { stdout, stderr, status } = run(["note", ...args], file);
			expect(stderr).toBe("");
			expect(stdout.replaceAll("\n", " ")).toContain(says);
			expect(status).toBe(0);
		}
	});

	it("of an element's change begins its account anew, after a run that was named too", () => {
		const file = ownDemo();
		const runs = json(["runs"], file) as Array<z.infer<typeof runAnswer>>;
		const change = ["note", "element-change", "--micron", "10"];
		run([...change, "--after-run", `${runs.at(-2)?.run}`], file);
		const [after] = json(["element"], file) as Array<z.infer<typeof elementAnswer>>;
		expect(after).toMatchObject({ micron: 10, runs: 1 });
		expect(after?.litres).toBeCloseTo(runs.at(-1)?.litres ?? 0, 2);
		run(change, file);
		expect(json(["element"], file)[0]).toMatchObject({ runs: 0, restriction: null });
		expect(run(["element"], file).stdout).toContain("not known yet");
		const refused = run([...change, "--after-run", "99999"], file);
		expect(refused.stderr).toContain("as `lees runs` lists it");
	});

	it("of what was drained and handed in makes the ledger, of spots the map", () => {
		const file = ownDemo();
		run(["note", "drained", "--ml", "80", "--container", "jar"], file);
		const handed = ["--ml", "60", "--container", "jar", "--place", "yard", "--receipt", "77"];
		run(["note", "waste", ...handed], file);
		const ledger = run(["note", "ledger"], file).stdout;
		expect(ledger).toMatch(/│ jar +│ 80 +│ 60 +│ 20 /);
		expect(ledger).toMatch(/│ 60 +│ jar +│ yard +│ 77 /);
		run(["note", "spot-map", "--tank", "port", "--spots", "fore-low,aft"], file);
		const [first] = json(["runs"], file) as Array<z.infer<typeof runAnswer>>;
		run(["note", "spots", "--tank", "port", "--spots", "aft", "--run", `${first?.run}`], file);
		const map = run(["note", "map"], file).stdout;
		expect(map).toMatch(/port +│ fore-low +│ never .*TO BE DONE/);
		expect(map).toMatch(new RegExp(`port +│ aft .*│ ${first?.run} +│ done`));
		for (const line of `${ledger}${map}`.split("\n")) expect([...line].length).toBeLessThan(101);
	});

	it("of a change keeps the old element's totals, which --all lists", () => {
		const file = ownDemo();
		const [before] = json(["element"], file) as Array<z.infer<typeof elementAnswer>>;
		run(["note", "element-change", "--micron", "10"], file);
		const all = json(["element", "--all"], file) as Array<z.infer<typeof pastElementAnswer>>;
		expect(all.map(({ micron, litres }) => [micron, litres])).toEqual([
			[12, before?.litres],
			[10, 0],
		]);
		expect(run(["element", "--all"], file).stdout).toMatch(/│ 10 .*in use/);
	});

	it("takes a photo, gives it back, and refuses what is none before it notes", () => {
		const file = ownDemo();
		const photo = join(folder, "glass.png");
		writeFileSync(photo, pngOf(7));
		const sample = ["note", "sample", "--tank", "port", "--of", "bowl", "--looked", "water"];
		const taken = run([...sample, "--photo", photo, "--id", "ph"], file);
		expect(taken.stdout).toContain("Photo kept: png");
		expect(run([...sample, "--photo", photo, "--id", "ph"], file).stdout).toContain("already");
		expect(run(["note", "list"], file).stdout.replaceAll(/\s+/g, " ")).toContain("photo");
		const out = join(folder, "back.png");
		expect(run(["note", "photo", "ph", "--out", out], file).status).toBe(0);
		expect(readFileSync(out).equals(pngOf(7))).toBe(true);
		expect(run(["note", "photo", "ph", "--out", out], file).stderr).toContain("there already");
		expect(run(["note", "photo", "sp-1", "--out", out], file).stderr).toContain("has no photo");
		const rows = run(["export", "--what", "notes", "--format", "jsonl"], file).stdout;
		expect(rows).toMatch(/"photo":"png","photoSha256":"[0-9a-f]{64}"/);
		writeFileSync(photo, "no photo at all, only some words");
		const refused = run([...sample, "--photo", photo, "--id", "no"], file);
		expect(refused.status).toBe(2);
		expect(refused.stderr).toContain("found a file that is no photo; allowed: a photo as JPEG");
		const nowhere = run([...sample, "--photo", join(folder, "none.jpg"), "--id", "no"], file);
		expect(nowhere.stderr).toContain("no such file");
		expect(json(["note", "list"], file).length).toBe(7);
		writeFileSync(photo, pngOf(8));
		const other = run([...sample, "--photo", photo, "--id", "ph"], file);
		expect(other.stderr).toContain("one photo a note");
	});

	it("is struck, stays in the list, and counts no more", () => {
		const file = ownDemo();
		expect(run(["note", "strike", "sp-1"], file).status).toBe(0);
		expect(run(["note", "list"], file).stdout).toContain("(STRUCK");
		const again = run(["note", "spare-elements", "--count", "2", "--id", "sp-1"], file);
		expect(again.status).toBe(2);
		expect(again.stderr).toContain("sp-1, which was struck");
		const [answer] = json(["ready"], file) as Array<z.infer<typeof readyAnswer>>;
		expect(answer?.checks.find(({ check }) => check === "spares")?.status).toBe("unknown");
		expect(run(["note", "strike", "nobody"], file).status).toBe(2);
	});

	it("names a tank or a rig that nobody has named before", () => {
		const file = ownDemo();
		const spelt = ["note", "uplift", "--tank", "prot", "--litres", "5", "--id", "slip"];
		expect(run(spelt, file).stdout).toMatch(/No tank prot .* but .*port.* strike slip/s);
		const spares = ["note", "spare-elements", "--count", "1", "--rig"];
		expect(run([...spares, "Teel"], file).stdout).toMatch(/No rig Teel .* but Teal Willow/s);
		run(["note", "strike", "slip"], file);
		const teel = (
			json(["note", "list", "--rig", "Teel"], file) as Array<{ note: { id: string } }>
		)[0];
		run(["note", "strike", teel?.note.id ?? ""], file);
		expect(run(["ready"], file).stdout).not.toMatch(/Teel|prot/);
		expect(run(["note", "list"], file).stdout).toMatch(/Teel/);
		const known = ["note", "uplift", "--tank", "port", "--litres", "5"];
		expect(run([...known, "--rig", DEMO_RIG], file).stdout).not.toContain("No ");
	});

	it("is listed and exported rig by rig, with its whole id", () => {
		const file = ownDemo();
		const id = "an-id-that-is-longer-than-its-column-2026-11-26";
		run(["note", "drained", "--ml", "5", "--rig", "Other rig", "--id", id], file);
		const other = run(["note", "list", "--rig", "Other rig"], file).stdout;
		const cells = other.split("\n").map((line) => line.split("│")[1]?.trim() ?? "");
		expect(cells.join("")).toContain(id);
		expect(other).not.toContain(DEMO_RIG);
		expect(run(["note", "list"], file).stdout).toMatch(/^Other rig\n.*\nTeal Willow/s);
		expect(run(["note", "list", "--rig", "nobody"], file).status).toBe(2);
		const rows = run(["export", "--what", "notes", "--rig", "Other rig"], file).stdout;
		expect(rows.trimEnd().split("\r\n")).toHaveLength(2);
	});

	it("of an element's change that is told late asks after which run it was", () => {
		const file = ownDemo();
		const change = ["note", "element-change", "--micron", "10", "--at", "2026-11-20T12:00"];
		const refused = run(change, file);
		expect(refused.status).toBe(2);
		expect(refused.stderr).toMatch(/--at: found 2026-11-20 12:00; allowed: --after-run .* run \d+/);
		const runs = json(["runs"], file) as Array<z.infer<typeof runAnswer>>;
		expect(run([...change, "--after-run", `${runs[1]?.run}`], file).status).toBe(0);
	});

	it.each([
		[["uplift", "--tank", "Port!", "--litres", "40"], "small letters"],
		[["uplift", "--tank", "port", "--litres", "-4"], "--litres: found -4; allowed: above 0"],
		[
			["dose", "--tank", "port", "--product", "x", "--ml", "-1"],
			"--ml: found -1; allowed: at least",
		],
		[["engine", "--stands-since", "2099-01-01T00:00"], "a time that has been by then"],
		[
			["uplift", "--tank", "port", "--litres", "4", "--at", "2099-01-01T00:00"],
			"a time that has been",
		],
		[["uplift", "--tank", "port", "--litres", "4", "--at", "yesterday"], "a local time such as"],
		[["sample", "--tank", "port", "--of", "bowl", "--looked", "fine"], "clear, hazy, water, dirt"],
		[
			["sample", "--tank", "port", "--of", "bowl", "--looked", "clear", "--iso4406", "x"],
			"18/16/13",
		],
		[
			[
				...["sample", "--tank", "port", "--of", "bowl", "--looked", "hazy"],
				...["--clear-and-bright", "yes"],
			],
			"--clear-and-bright: found true; allowed: no, where it looked hazy",
		],
		[["spots", "--tank", "port", "--spots", "Fore low"], "small letters"],
		[["spots", "--tank", "port", "--spots", "aft", "--run", "99999"], "as `lees runs` lists it"],
	])("refuses %j", (args, says) => {
		const refused = run(["note", ...args]);
		expect(refused.stderr).toContain(says);
		expect(refused.stderr).not.toMatch(/\n\s+at /);
		expect(refused.status).toBe(2);
	});

	it("before the first pull asks for the rig's name", () => {
		const file = join(folder, "new.sqlite");
		const spares = ["note", "spare-elements", "--count", "2"];
		expect(run(spares, file).stderr).toContain("the rig's name: the archive knows none");
		expect(existsSync(file)).toBe(false);
		new Archive(file, { create: true }).close();
		const nowhere = run([...spares, "--rig", "Own rig"], join(folder, "no-such", "a.sqlite"));
		expect(nowhere.stderr).toContain("found no such folder");
		expect(run(["ready"], file).status).toBe(1);
		expect(run(["ready"], file).stdout).toContain("nothing is known of any rig yet");
		expect(run([...spares, "--rig", "Own rig"], file).status).toBe(0);
		expect(json(["note", "list"], file).length).toBe(1);
		expect(run(["ready"], file).status).toBe(1);
	});
});
