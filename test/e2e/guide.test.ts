// Walks the pages as a reader does: every command in them is in the table of page-commands.ts, and
// is run as printed at a live rig on an emulated board, or proven in the way that the table states.
// What stands for the reader's own is put in: the board's port, and a date that is still to come.

import { type ChildProcess, execFileSync, spawn, spawnSync } from "node:child_process";
import { existsSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";
import { commandsOf, inlineCode } from "../tidy/page-text.ts";
import { command, type Ended, lees } from "./cli.ts";
import { LiveRig, sleep, until } from "./live.ts";
import { type Proof, type Row, rows } from "./page-commands.ts";

/** A reader's machine is no build server: there a draw without a seed is refused. */
const AT_HOME = { CI: "" };

const read = (file: string) => readFileSync(join(root, file), "utf8");
const git = ["ls-files", "--cached", "--others", "--exclude-standard", "*.md"];
const listed = execFileSync("git", git, { cwd: root, encoding: "utf8" }).trim().split("\n");
const pages = listed.filter((file) => /^(hardware\/([a-z-]+\/)?[A-Z]+|README)\.md$/.test(file));

/** What a page prints to be typed, each once. */
const printedIn = (text: string) => [...new Set(commandsOf(text))];
const printed = new Set(pages.flatMap((file) => printedIn(read(file))));

const isOf = ([pattern]: Row, line: string) =>
	typeof pattern === "string" ? pattern === line : pattern.test(line);
const proofOf = (line: string): Proof | undefined => rows.find((row) => isOf(row, line))?.[1];
const unlisted = (lines: Iterable<string>) => [...lines].filter((line) => !proofOf(line));

const provenBy = (how: Proof["how"]) => [...printed].filter((line) => proofOf(line)?.how === how);

const helps = new Map<string, Ended>();
/** @param words of the command, as order polish */
function helpOf(words: readonly string[]): Ended {
	const key = words.join(" ");
	const known = helps.get(key) ?? lees([...words, "--help"], root, {}, 60_000);
	helps.set(key, known);
	return known;
}

/** What is wrong with a `lees` command by its own help; "" when nothing is. */
function helpProblem(line: string): string {
	const words = line.replace(/^(npx )?lees /, "").split(" ");
	const [first = "", second = ""] = words;
	const isPair = ["order", "note"].includes(first) && /^[a-z-]+$/.test(second);
	const name = words.slice(0, isPair ? 2 : 1);
	const { status, stdout } = helpOf(name);
	const usage = /^Usage: (.*)$/m.exec(stdout)?.[1] ?? "";
	// Of a command that it does not have it shows the list of those that it has.
	const isIts = status === 0 && usage.startsWith(`lees ${name.join(" ")}`);
	if (!isIts) return `lees ${name.join(" ")} has no help`;
	const options = words.filter((word) => word.startsWith("--"));
	const strange = options.filter((option) => !new RegExp(`${option}\\b`).test(stdout));
	if (strange.length > 0) return `${name.join(" ")} has no ${strange.join(", ")}`;
	const takesValue = (option: string) => new RegExp(`${option} [<[]`).test(stdout);
	const given = words.slice(name.length).filter((word, i, rest) => {
		const before = rest[i - 1] ?? "";
		return !word.startsWith("--") && !(before.startsWith("--") && takesValue(before));
	});
	const [asked, more] = [usage.match(/<[A-Z_]+>/g) ?? [], usage.match(/\[[A-Z_]+\]/g) ?? []];
	const fits = given.length >= asked.length && given.length <= asked.length + more.length;
	return fits ? "" : `${name.join(" ")} takes ${usage}, given ${given.join(" ")}`;
}

describe("the commands of the pages", () => {
	it("are all in the table, and the table has none that no page prints", () => {
		expect(printed.size).toBeGreaterThan(40);
		expect(unlisted(printed)).toEqual([]);
		const stale = rows.filter((row) => ![...printed].some((line) => isOf(row, line)));
		expect(stale.map(([pattern]) => String(pattern))).toEqual([]);
	});

	it("that are not run are proven by tests that are there", () => {
		const reasons = rows.flatMap(([, proof]) => ("because" in proof ? [proof.because] : []));
		const tests = reasons.flatMap((words) => words.match(/test\/[\w/.-]+\.ts/g) ?? []);
		expect(tests.length).toBeGreaterThan(8);
		for (const file of tests) expect(existsSync(join(root, file)), file).toBe(true);
	});

	it("name a command, options and arguments that there are, also in the text", () => {
		const inText = pages.flatMap((file) => inlineCode(read(file)));
		// A bare name, or one with its words in capitals, stands for the whole command.
		const named = inText.filter((code) => /^(npx )?lees [a-z]/.test(code) && !code.includes("…"));
		const names = named.map((code) => code.replace(/^(npx )?lees /, "").split(" ")[0] ?? "");
		const { stdout } = helpOf([]);
		expect(names.length).toBeGreaterThan(20);
		expect(names.filter((name) => !new RegExp(`^  ${name} `, "m").test(stdout))).toEqual([]);
		const typed = [...printed].filter((line) => /^(npx )?lees /.test(line));
		expect(typed.map(helpProblem).filter((problem) => problem !== "")).toEqual([]);
	});

	it("of npm are scripts of the package", () => {
		const { scripts } = JSON.parse(read("package.json"));
		const names = provenBy("npm script").map((line) => line.split(" "));
		const missing = names.filter(([, one = "", two = ""]) => !scripts[one === "run" ? two : one]);
		expect(missing).toEqual([]);
	});

	it("of the shell are scripts that parse, with the options that are typed", () => {
		for (const line of provenBy("script")) {
			const words = line
				.replace(/^sudo /, "")
				.replace(/^sh /, "")
				.split(" ");
			const [script = ""] = words;
			expect(existsSync(join(root, script)), line).toBe(true);
			expect(spawnSync("sh", ["-n", join(root, script)]).status, line).toBe(0);
			const options = words.filter((word) => word.startsWith("--"));
			for (const option of options) expect(read(script), line).toContain(option);
		}
	});

	it("of others name files that are there, and the image of the emulated board", () => {
		const inside = /(?:^|[\s:=])((?:node_modules|hardware|host|sim|firmware|test)\/[\w./-]+)/g;
		const named = provenBy("not ours").flatMap((line) =>
			[...line.matchAll(inside)].map(([, path = ""]) => path),
		);
		expect(named.length).toBeGreaterThan(0);
		for (const path of named) expect(existsSync(join(root, path)), path).toBe(true);
		const image = named.find((path) => path.endsWith(".hex")) ?? "";
		const [, inPackage = ""] = image.split("node_modules/avrgirl-arduino/");
		expect(read("sim/emulated-board/avr-board.ts")).toContain(`"${inPackage}"`);
	});
});

describe("at a live rig", () => {
	const rig = new LiveRig();
	const running: ChildProcess[] = [];

	beforeAll(async () => {
		// The pages' build is another stage's; none of them is looked at here.
		const web = join(root, ".build/web");
		mkdirSync(web, { recursive: true });
		const page = join(web, "bench.html");
		if (!existsSync(page)) writeFileSync(page, "<!doctype html><title>bench</title>");
		symlinkSync(join(root, "sim"), join(rig.folder, "sim"));
		await rig.start();
	}, 30_000);
	afterAll(async () => {
		for (const child of running) child.kill("SIGKILL");
		await rig.end();
	});

	/** The line with what is the reader's own; the pages' server on a port that nobody uses. */
	const filledIn = (line: string) => {
		const tomorrow = new Date(Date.now() + 86_400_000).toISOString().slice(0, 10);
		return line
			.replace("/dev/ttyACM0", rig.board)
			.replace(/2026-\d\d-\d\d(?=T)/, tomorrow)
			.replace("lees serve lees.sock", "lees serve lees.sock --listen 127.0.0.1:0");
	};

	function run(line: string, { status, says }: Extract<Proof, { how: "runs" }>) {
		const [program = "", ...args] = filledIn(line).split(" ");
		const ended =
			program === "npx"
				? lees(args.slice(1), rig.folder, AT_HOME)
				: spawnSync(program, args, { cwd: rig.folder, encoding: "utf8" });
		const all = `${ended.stdout}${ended.stderr}`;
		expect(ended.status, `${line}\n${all}`).toBe(status);
		if (says !== undefined) expect(all, line).toMatch(says);
	}

	async function runUntil(line: string, proof: Extract<Proof, { how: "runs until" }>) {
		const [, , ...args] = filledIn(line).split(" ");
		const env = { ...process.env, NO_COLOR: "1", ...AT_HOME };
		const child = spawn(process.execPath, [command, ...args], { cwd: rig.folder, env });
		running.push(child);
		let said = "";
		for (const stream of [child.stdout, child.stderr]) {
			stream.on("data", (text: Buffer) => {
				said += text.toString();
			});
		}
		await until(() => proof.says.test(said) || child.exitCode !== null, 60);
		expect(said, line).toMatch(proof.says);
		// A second in which every channel has been heard, and the probe both ways.
		if (proof.stays) return sleep(1.5);
		const gone = new Promise((resolve) => child.once("exit", resolve));
		child.kill("SIGINT");
		expect(await gone, line).toBe(0);
	}

	it.each(rows.filter(([, { how }]) => how.startsWith("runs")))(
		"%s",
		async (pattern, proof) => {
			const line = String(pattern);
			if (proof.how === "runs") run(line, proof);
			if (proof.how === "runs until") await runUntil(line, proof);
		},
		120_000,
	);

	const lit = () =>
		rig.edges().findLast(({ channel }) => channel === "lamp-trip")?.level === "high";

	it("the stop button lights the trip lamp; a press acknowledges once it is out", async () => {
		rig.do("stop");
		await until(lit, 10);
		rig.do("release");
		await sleep(1);
		expect(lit()).toBe(true);
		// On a busy machine a press may come before the board has told of the release.
		for (let presses = 0; presses < 5 && lit(); presses += 1) {
			rig.do("press");
			await until(() => !lit(), 3).catch(() => undefined);
		}
		expect(lit()).toBe(false);
	}, 40_000);
});

describe("the check bites on", () => {
	it("a command that the table lacks, in a fence within a list too", () => {
		const text = "1. So:\n\n   ```sh\n   npx lees polish --now # quickly\n   ```\n";
		expect(unlisted(printedIn(text))).toEqual(["npx lees polish --now"]);
	});

	it.each([
		["npx lees polish --now", "lees polish has no help"],
		["npx lees pull lees.sock --quickly", "pull has no --quickly"],
		["npx lees coverage", "coverage takes"],
		["npx lees clock lees.sock twice", "clock takes"],
	])("%s", (line, says) => {
		expect(helpProblem(line)).toContain(says);
	});
});
