// House rules as tests: the shape of the tree, of its files and of its words. What git would track
// is what counts; the build and the packages are left out.

import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { basename, dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { setpointTable, tripTable, withSection } from "../../host/report/tables.ts";
import { root } from "../stories/world.ts";

const git = ["ls-files", "--cached", "--others", "--exclude-standard"];
const files = execFileSync("git", git, { cwd: root, encoding: "utf8" }).trim().split("\n");
const read = (file: string) => readFileSync(join(root, file), "utf8");
const code = files.filter((file) => /\.(tsx?|mjs|cjs)$/.test(file));
const prose = files.filter((file) => /\.(md|yaml)$/.test(file));

/** Pages that a reader looks for by these names. */
const capitals =
	/^(README|DEVELOPERS|(hardware(\/[a-z-]+)?|firmware\/link|sim\/bench)\/[A-Z]+)\.md$/;

const LINES_MAX = 400;
const COLUMNS_MAX = 100;

describe("the tree", () => {
	it("has the fixed top level and dot-files, nothing else", () => {
		const top = new Set(files.map((file) => file.split("/")[0] ?? ""));
		const open = [...top].filter((name) => !name.startsWith(".")).sort();
		expect(open).toEqual(
			[
				"DEVELOPERS.md",
				"README.md",
				"firmware",
				"hardware",
				"host",
				"package-lock.json",
				"package.json",
				"sim",
				"test",
				"tsconfig.json",
			].sort(),
		);
	});

	it.each(files.filter((file) => !capitals.test(file)))("%s is in kebab-case", (file) => {
		expect(basename(file)).toMatch(/^\.?[a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9-]+)*$/);
		expect(basename(file)).not.toMatch(/^(utils?|helpers?|manager|misc|common)\./);
	});
});

describe.each(code)("%s", (file) => {
	const lines = read(file).split("\n");

	it("opens with two lines or more that say what it is", () => {
		const shebang = lines[0]?.startsWith("#!") ? 1 : 0;
		const head = lines.slice(shebang).findIndex((line) => !line.startsWith("//"));
		expect(head).toBeGreaterThanOrEqual(
			file.startsWith(".ci/") || file.includes("/vitest") ? 1 : 2,
		);
	});

	it("is short enough to read", () => {
		expect(lines.length).toBeLessThanOrEqual(LINES_MAX);
		const wide = lines.flatMap((line, i) => {
			const columns = line.replaceAll("\t", "  ").length;
			return columns > COLUMNS_MAX ? [`${i + 1}: ${columns}`] : [];
		});
		expect(wide).toEqual([]);
	});

	it("leaves nothing for later and skips no test", () => {
		const text = lines.join("\n");
		// Written apart, so that this very file does not hold them.
		const later = ["TO", "DO"].join("");
		const words = [later, ["FIX", "ME"].join(""), ["XXX", ":"].join("")];
		for (const word of words) expect(text).not.toContain(word);
		expect(text).not.toMatch(/\b(it|test|describe)\.(skip|only|todo)\b/);
		expect(text).not.toMatch(/@ts-(?:ignore|expect-error|nocheck)|biome-(?=ignore)/);
	});
});

describe("rooms without a clock", () => {
	const timeless = code.filter((file) =>
		/^(firmware|sim)\/(?!board|link|log\/store|main|emulated-board)/.test(file),
	);
	it.each(timeless)("%s reads none and rolls no dice of its own", (file) => {
		expect(read(file)).not.toMatch(
			/Date\.now|new Date\(\)|performance\.|setTimeout|setInterval|Math\.random/,
		);
	});
});

describe("documents", () => {
	it("README carries the trip catalogue as it is", () => {
		const text = read("README.md");
		expect(withSection(text, "trips", tripTable())).toBe(text);
	});

	it("DEVELOPERS.md carries the setpoints as they are", () => {
		const text = read("DEVELOPERS.md");
		expect(withSection(text, "setpoints", setpointTable())).toBe(text);
	});

	it.each(prose.filter((file) => file.endsWith(".md")))(
		"%s links only to what is there",
		(file) => {
			const links = [...read(file).matchAll(/\]\((?!https?:|#)([^)#]+)(?:#[^)]*)?\)/g)].map(
				([, path]) => path ?? "",
			);
			for (const path of links) {
				const to = join(dirname(file), path);
				expect(
					files.some((known) => known === to || known.startsWith(`${to}/`)),
					path,
				).toBe(true);
			}
		},
	);

	it("every package is in DEVELOPERS.md with its licence", () => {
		const { dependencies, devDependencies } = JSON.parse(read("package.json"));
		const text = read("DEVELOPERS.md");
		const names = Object.keys({ ...dependencies, ...devDependencies });
		expect(names.filter((name) => !text.includes(name))).toEqual([]);
	});

	it("scenarios and rigs are marked invented", () => {
		for (const file of files.filter((name) => /\.(bench|rig)\.yaml$/.test(name))) {
			expect(read(file)).toContain("invented: true");
		}
	});
});
