// The pin map is the one place that has a pin's number, an input's or an address: nowhere in the
// code or in the hardware's sources does a second copy stand. Pages made from the map are left out.

import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { pins, root } from "../stories/world.ts";

const git = ["ls-files", "--cached", "--others", "--exclude-standard"];
const files = execFileSync("git", git, { cwd: root, encoding: "utf8" }).trim().split("\n");
const MAP = "hardware/pins.yaml";
const isMade = (file: string) => /^hardware\/(WIRING\.md|wiring-[a-z-]+\.svg)$/.test(file);
const searched = files.filter(
	(file) =>
		/^(firmware|sim|host|hardware)\/.*\.(ts|tsx|yaml|md|svg|cir)$/.test(file) &&
		file !== MAP &&
		!isMade(file),
);

/** Words that look like a copy and are the chip's or the protocol's, by their file. */
const excused: Readonly<Record<string, readonly RegExp[]>> = {
	"firmware/config/pins.ts": [/z\.enum\(\["A0", "A1", "A2", "A3"\]\)/, /of input 0;/],
	"sim/emulated-board/avr-board.ts": [/analog pin A0 to A5/, /Digital pin 0 to 13/],
};

const names = Object.keys(pins.channels).join("|");
const numbers = Object.values(pins.channels).flatMap((channel) =>
	"pin" in channel ? [String(channel.pin)] : [],
);
const addresses = new Set(
	Object.values(pins.channels).flatMap((channel) =>
		channel.kind === "i2c" ? [channel.address] : [],
	),
);
addresses.add(pins.converter.address);
const places = [...addresses].flatMap((one) => [String(one), `0x${one.toString(16)}`]).join("|");
const analog = numbers.filter((one) => one.startsWith("A")).join("|");
const digital = numbers.filter((one) => !one.startsWith("A")).join("|");

/** There a pin is one of the circuit's own chips, unless a channel's name stands with it. */
const isOwnChips = (file: string) => file.startsWith("hardware/dead-man/");
const BY_NAME = 4;
const patterns = [
	// `pin 7`, `pin: 7`, `pin = A0`, `pin D7`, `input 3`, `address: 64`; not `pin 2 to 12`
	new RegExp(
		`\\bpins?["']?\\s*[:=]?\\s*["'\`]?(D?(?:${digital})|${analog})\\b` +
			"(?!\\s*(?:to (?:\\d|A\\d)|\\.\\d))",
		"i",
	),
	new RegExp(`["'\`](?:D(?:${digital})|${analog})["'\`]`),
	/\binput["']?\s*[:=]?\s+[0-7]\b(?! of\b)/i,
	new RegExp(`\\baddress["']?\\s*[:=]?\\s*(?:${places})\\b`, "i"),
	// `"pump-demand": 7`
	new RegExp(`["'\`]?\\b(?:${names})["'\`]?\\s*[:=,]\\s*(?:${digital})\\b(?!\\.)`),
];

function copiesIn(file: string, text: string): string[] {
	const excuses = excused[file] ?? [];
	const asked = isOwnChips(file) ? patterns.slice(BY_NAME) : patterns;
	return text.split("\n").flatMap((line, i) => {
		const bare = excuses.reduce((left, excuse) => left.replace(excuse, ""), line);
		return asked.some((pattern) => pattern.test(bare)) ? [`${file}:${i + 1}: ${line.trim()}`] : [];
	});
}

describe("numbers of pins", () => {
	it("stand in the pin map and nowhere else", () => {
		const found = searched.flatMap((file) =>
			copiesIn(file, readFileSync(join(root, file), "utf8")),
		);
		expect(found).toEqual([]);
	});

	it("excuses only what is there", () => {
		for (const [file, excuses] of Object.entries(excused)) {
			const text = readFileSync(join(root, file), "utf8");
			for (const excuse of excuses) expect(text).toMatch(excuse);
		}
	});

	it.each([
		"const pump = new Relay({ pin: 7 });",
		"// the beat is on pin 4",
		'board.pinMode("A1", 2);',
		"  pump-demand: { kind: digital-out, pin: 7 }",
		'const drives = { "dead-man-beat": 4 };',
		"Connect pin D12 to the lamp.",
		"- { net: 70, ends: [converter, input: 3] }",
		"i2cRead(0x40); // address 0x40",
		"address: 29,",
	])("finds %s", (line) => {
		expect(copiesIn("host/a.ts", line)).toHaveLength(1);
	});

	it("lets the dead-man's own chips have pins, but no channel", () => {
		expect(copiesIn("hardware/dead-man/README.md", "the comparator's pin 2")).toEqual([]);
		expect(copiesIn("hardware/dead-man/README.md", "dead-man-beat: 4")).toHaveLength(1);
	});

	it.each([
		"const pins = loadPins(root);",
		"pins 2 to 12",
		"pin: usablePin,",
		"input: z.int().min(0)",
	])("lets %s be", (line) => {
		expect(copiesIn("host/a.ts", line)).toEqual([]);
	});
});
