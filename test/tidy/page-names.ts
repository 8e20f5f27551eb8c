// What a page of the build names: files, links, trips, steps, channels, parts, setpoints, keys of
// the rig file, options. Each is held to the map that it comes from, and a pin's number to none but
// the pin map. Pure: the pages and the world in, problems in words out.

import { posix } from "node:path";
import { handWritten, headingsOf, inlineCode, linksOf, proseOf } from "./page-text.ts";

export interface NamedWorld {
	/** Of the project, from its root. */
	readonly files: ReadonlySet<string>;
	readonly trips: readonly string[];
	readonly steps: readonly string[];
	readonly channels: readonly string[];
	/** Numbers of the board's pins that the map gives to a channel. */
	readonly pins: readonly string[];
	/** Parts, proof tests, hazards, scenarios and all other names with a map of their own. */
	readonly names: readonly string[];
	readonly setpoints: readonly string[];
	/** Dotted, as `pump.freeFlowLph`, and their last parts. */
	readonly rigKeys: readonly string[];
	/** Of the command and of scripts, as `--json`. */
	readonly options: readonly string[];
	/** Words in code that no map knows, each with its reason in the test. */
	readonly words: readonly string[];
}

export interface Page {
	readonly file: string;
	readonly text: string;
}

const FILE_ENDS = /\.(md|ya?ml|ts|mjs|svg|sh|service|rules|cir|json|py|hex)$/;
/** Of the machine that it is read on, not of the project. */
const ELSEWHERE = /^(\/|~|\.\/|[A-Z]+\/)/;
const KEBAB = /^[a-z]+(-[a-z0-9]+)*$/;
const CAMEL = /^[a-z][a-zA-Z0-9]*(\.[a-zA-Z0-9]+)?$/;

/** Of one page; a word in code that nothing knows is a problem too. */
export function namingProblems(page: Page, pages: readonly Page[], world: NamedWorld): string[] {
	const words = inlineCode(page.text).flatMap((code) => wordProblems(code, world));
	const places = placeProblems(page, pages, world);
	return [...new Set([...places, ...told(page, [...words, ...pinProblems(page, () => true)])])];
}

/** Of a page that has words of its own: links, files, options, trips, steps and pins alone. */
export function placeProblems(page: Page, pages: readonly Page[], world: NamedWorld): string[] {
	return told(page, [
		...linkProblems(page, pages, world),
		...kindProblems(page, "trip", world.trips),
		...kindProblems(page, "step", world.steps),
		// A pin that the map gives to nothing may be spoken of: one blinks at boot.
		...pinProblems(page, (number) => world.pins.includes(number)),
		...inlineCode(page.text).flatMap((code) => fileProblems(page, code, world)),
	]);
}

const told = ({ file }: Page, problems: readonly string[]) =>
	[...new Set(problems)].map((problem) => `${file}: ${problem}`);

function linkProblems({ file, text }: Page, pages: readonly Page[], world: NamedWorld): string[] {
	return linksOf(text).flatMap((link) => {
		const [path = "", place] = link.split("#");
		const target = path === "" ? file : posix.join(posix.dirname(file), path);
		const folder = target.replace(/\/$/, "");
		const isThere = world.files.has(target) || has(world.files, folder);
		if (!isThere) return [`links to ${link}: no file ${target}`];
		const page = pages.find((other) => other.file === target);
		if (place === undefined || page === undefined) return [];
		return headingsOf(page.text).includes(place) ? [] : [`links to ${link}: no such heading`];
	});
}

/** A file, a folder, or with a star the files that are named alike. */
function has(files: ReadonlySet<string>, path: string): boolean {
	const [begins = "", ends] = path.split("*");
	const isMeant = (file: string) =>
		ends === undefined
			? file === path || file.startsWith(`${path}/`)
			: file.startsWith(begins) && file.endsWith(ends);
	return [...files].some(isMeant);
}

/** "the steps `prime` and `amps`": each must be one. */
function kindProblems({ text }: Page, kind: string, known: readonly string[]): string[] {
	const lists = proseOf(text).matchAll(
		new RegExp(`\\b${kind}s? ((?:\`[^\`\\n]+\`[, and]*)+)`, "g"),
	);
	return [...lists].flatMap(([, list = ""]) =>
		inlineCode(list).flatMap((name) => (known.includes(name) ? [] : [`no ${kind} ${name}`])),
	);
}

/** The pin map has them; a second copy would not follow it. */
function pinProblems({ text }: Page, isCopy: (number: string) => boolean): string[] {
	const numbered = handWritten(text).matchAll(/\bpins? `?D?(A?\d+)\b`?/gi);
	return [...numbered].flatMap(([words, number = ""]) =>
		isCopy(number) ? [`writes ${words}: pins.yaml has the numbers`] : [],
	);
}

const isOption = (code: string) => code.startsWith("--");
const isPath = (code: string) =>
	ELSEWHERE.test(code) || FILE_ENDS.test(code) || /^[\w.-]+\/[\w./*-]*$/.test(code);
/** The business of the test that runs the commands. */
const isCommand = (code: string) => /^(npx |sudo )?(lees|npm|sh|systemctl|journalctl) /.test(code);

function fileProblems({ file }: Page, code: string, world: NamedWorld): string[] {
	if (world.words.includes(code) || isCommand(code) || ELSEWHERE.test(code)) return [];
	if (isOption(code)) {
		const [option = ""] = code.split(/[ =]/);
		return world.options.includes(option) ? [] : [`no option ${option}`];
	}
	if (!isPath(code)) return [];
	const places = [code, posix.join(posix.dirname(file), code)].map((at) => at.replace(/\/$/, ""));
	const isThere = places.some((path) => has(world.files, path));
	return isThere ? [] : [`no file ${code}`];
}

function wordProblems(code: string, world: NamedWorld): string[] {
	if (world.words.includes(code) || isCommand(code) || isOption(code) || isPath(code)) return [];
	const { trips, steps, channels, names, setpoints, rigKeys } = world;
	const known = [trips, steps, channels, names, setpoints, rigKeys];
	if (known.some((list) => list.includes(code))) return [];
	if (KEBAB.test(code)) return [`no trip, step, channel, part or other name ${code}`];
	if (CAMEL.test(code)) return [`no setpoint or key of the rig file ${code}`];
	return [`nothing knows ${code}`];
}
