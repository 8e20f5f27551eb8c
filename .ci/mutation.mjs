// `npm run mutation`: measures by how much the tests in test/logic hold the interlock and the trip
// logic, and writes test/mutation/report.json. First branch coverage, then every mutant: a small
// change of the source that some test must notice. What .stryker.config.json names is measured; the
// mutants that nothing could notice are listed, with reasons, in test/mutation/equivalents.json.
// `npm run mutation -- --force` tries every mutant anew, whatever an earlier run found.

import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import {
	cpSync,
	existsSync,
	mkdirSync,
	readdirSync,
	readFileSync,
	rmSync,
	symlinkSync,
	writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { installMissing, root, run } from "./prepare.mjs";

const began = Date.now();
installMissing();
const { default: ts } = await import("typescript");

const out = join(root, ".build/mutation");
/** A copy of all that counts: what is edited meanwhile does not come between. */
const tree = join(out, "tree");
const read = (file) => readFileSync(join(tree, file), "utf8");
const readJson = (file) => JSON.parse(read(file));
const hash = (text) => createHash("sha256").update(text).digest("hex");
const hashes = (files) => Object.fromEntries(files.map((file) => [file, hash(read(file))]));
const list = (folder) =>
	readdirSync(join(tree, folder), { recursive: true })
		.map((file) => `${folder}/${file}`)
		.filter((file) => /\.(ts|yaml)$/.test(file))
		.sort();

const SETTINGS = ".stryker.config.json";
const EQUIVALENTS = "test/mutation/equivalents.json";
const VITEST_CONFIG = "test/mutation/vitest.config.ts";
const WELL = "test/stories/well.ts";

rmSync(tree, { recursive: true, force: true });
mkdirSync(tree, { recursive: true });
for (const part of [
	...["package.json", "package-lock.json", "tsconfig.json", SETTINGS, EQUIVALENTS, VITEST_CONFIG],
	...["firmware", "test/logic", WELL, "sim/bench/rigs"],
]) {
	cpSync(join(root, part), join(tree, part), { recursive: true });
}
symlinkSync(join(root, "node_modules"), join(tree, "node_modules"));

const { mutate } = readJson(SETTINGS);
/** What decides of a result beside the sources: the tests, what is well with them, the settings. */
const measuring = [SETTINGS, EQUIVALENTS, VITEST_CONFIG, ...list("test/logic"), WELL];
const sourceHashes = hashes(mutate);
const sourceLines = Object.fromEntries(mutate.map((file) => [file, read(file).split("\n")]));
const measuringHashes = hashes(measuring);
// An earlier run's results count again only where nothing has changed but sources and tests: the
// tool sees what changed in those by itself, and nothing of the files that they import.
const around = [...list("firmware"), ...list("sim/bench/rigs"), ...measuring, "package-lock.json"]
	.filter((file) => !mutate.includes(file) && !file.endsWith(".test.ts"))
	.filter((file) => file !== EQUIVALENTS);
const surroundings = hash(JSON.stringify(hashes(around)));

/** The text with each `as …` and `satisfies …` blank: the tool skips what stands before one. */
function withoutAssertions(file) {
	let text = read(file);
	const visit = (node) => {
		if (ts.isAsExpression(node) || ts.isSatisfiesExpression(node)) {
			const [from, to] = [node.expression.end, node.end];
			text = text.slice(0, from) + text.slice(from, to).replace(/\S/g, " ") + text.slice(to);
		}
		ts.forEachChild(node, visit);
	};
	visit(ts.createSourceFile(file, text, ts.ScriptTarget.ES2023));
	return text;
}
for (const file of mutate) writeFileSync(join(tree, file), withoutAssertions(file));

const inTree = (tool, args) => run(process.execPath, [join(root, tool), ...args], { cwd: tree });
inTree("node_modules/vitest/vitest.mjs", ["run", "--config", VITEST_CONFIG, "--coverage"]);

const stamp = join(out, "surroundings");
const same = existsSync(stamp) && readFileSync(stamp, "utf8") === surroundings;
const force = process.argv.includes("--force") || !same ? ["--force"] : [];
rmSync(stamp, { force: true });
inTree("node_modules/@stryker-mutator/core/bin/stryker.js", ["run", SETTINGS, ...force]);
writeFileSync(stamp, surroundings);

const { files } = JSON.parse(readFileSync(join(out, "mutants.json"), "utf8"));
const coverage = readJson(".build/mutation/coverage/coverage-summary.json");
const equivalents = readJson(EQUIVALENTS);
const used = new Set();
let survivors = 0;

/** The listed reason why nothing can notice this mutant, or undefined. */
function reasonFor(file, line, { mutatorName, replacement }) {
	const found = equivalents.find(
		(row) =>
			row.file === file &&
			row.line === line &&
			row.mutator === mutatorName &&
			row.replacement === replacement,
	);
	if (found !== undefined) used.add(found);
	return found?.reason;
}

function measure(file) {
	const { mutants } = files[file];
	const count = (status) => mutants.filter((mutant) => mutant.status === status).length;
	const equivalent = [];
	for (const mutant of mutants) {
		if (mutant.status === "Killed" || mutant.status === "Timeout") continue;
		const line = sourceLines[file][mutant.location.start.line - 1].trim();
		const reason = reasonFor(file, line, mutant);
		const { mutatorName: mutator, replacement } = mutant;
		if (reason !== undefined) {
			equivalent.push({ line, mutator, replacement, reason });
			continue;
		}
		survivors += 1;
		const place = `${file}:${mutant.location.start.line}`;
		console.error(`${mutant.status}: ${place} ${mutator} -> ${replacement}\n  ${line}`);
	}
	const { covered, total } = coverage[join(tree, file)].branches;
	return {
		sha256: sourceHashes[file],
		mutants: mutants.length,
		killed: count("Killed"),
		timeout: count("Timeout"),
		equivalents: equivalent,
		branches: { covered, total },
	};
}

const measured = Object.fromEntries(mutate.map((file) => [file, measure(file)]));
const { devDependencies } = readJson("package.json");
const tools = ["@stryker-mutator/core", "vitest", "@vitest/coverage-v8"];
const report = {
	tools: Object.fromEntries(tools.map((name) => [name, devDependencies[name]])),
	measuredWith: measuringHashes,
	files: measured,
};
const path = "test/mutation/report.json";
writeFileSync(join(root, path), `${JSON.stringify(report, null, "\t")}\n`);
const format = ["node_modules/@biomejs/biome/bin/biome", "format", "--write", path];
spawnSync(process.execPath, format, { cwd: root, stdio: "ignore" });
rmSync(tree, { recursive: true, force: true });

const rows = Object.values(measured);
const sum = (figure) => rows.reduce((total, row) => total + figure(row), 0);
const idle = equivalents.filter((row) => !used.has(row));
for (const { file, line } of idle)
	console.error(`listed as equivalent, but killed: ${file}: ${line}`);
const open = sum(({ branches }) => branches.total - branches.covered);
console.log(
	`${sum((row) => row.mutants)} mutants, ${sum((row) => row.killed)} killed, ` +
		`${sum((row) => row.timeout)} timed out, ${sum((row) => row.equivalents.length)} equivalent, ` +
		`${survivors} survived; ${open} branches not covered; ` +
		`${((Date.now() - began) / 60_000).toFixed(1)} min`,
);
process.exit(survivors + open + idle.length === 0 ? 0 : 1);
