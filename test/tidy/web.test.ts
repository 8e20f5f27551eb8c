// House rules of the pages: no word but from the catalogue, night colours that spare eyes used to
// the dark, and contrast in both lights. What judges is tried on spoiled copies first.

import { execFileSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";
import { coloursOf, contrast, luminance, shareOfRed } from "./web-colours.ts";
import { ownWords } from "./web-words.ts";

const git = ["ls-files", "--cached", "--others", "--exclude-standard"];
const listed = execFileSync("git", git, { cwd: root, encoding: "utf8" }).trim().split("\n");
const read = (file: string) => readFileSync(join(root, file), "utf8");
const markup = listed.filter((file) => file.startsWith("host/web/") && file.endsWith(".tsx"));
const styles = listed.filter((file) => file.startsWith("host/web/") && file.endsWith(".css"));

describe("words", () => {
	it.each(markup)("%s has none of its own", (file) => {
		expect(ownWords(file, read(file))).toEqual([]);
	});

	it.each([
		["text between tags", "const a = <p>Pump on</p>;", "Pump on"],
		["a text in braces", 'const a = <p>{"Pump"}</p>;', "Pump"],
		["one of two texts", 'const a = <p>{isOn ? "on" : off}</p>;', "on"],
		["what stands in for nothing", 'const a = <p>{name ?? "none"}</p>;', "none"],
		["a text under a condition", 'const a = <p>{isOn && "on"}</p>;', "on"],
		["a text with a value", `const a = <p>{\`at \${flow}\`}</p>;`, "at …"],
		["a text joined to another", 'const a = <p>{flow + " litres"}</p>;', "litres"],
		["what is read aloud", 'const a = <svg aria-label="a pump" />;', "a pump"],
		["a label", 'const a = <Field label="Tank" />;', "Tank"],
		["a value put into a phrase", 'const a = <p>{phrase("full")}</p>;', "full"],
		["a label in a list", 'const a = <Table columns={[{ head: "Flow" }]} />;', "Flow"],
	])("finds %s", (_, text, word) => {
		expect(ownWords("a.tsx", text)).toMatchObject([{ text: word }]);
	});

	it.each([
		["the catalogue's", "const a = <p>{words().live.title}</p>;"],
		["marks", `const a = <p>▲ {"·"} {\`\${a}: \${b}\`}</p>;`],
		["classes and kinds", 'const a = <Button kind="main" class="wide" />;'],
		["what is compared", 'const a = <p>{state === "idle" ? one : two}</p>;'],
	])("lets %s pass", (_, text) => {
		expect(ownWords("a.tsx", text)).toEqual([]);
	});
});

describe("colours", () => {
	const theme = read("host/web/theme.css");
	const day = coloursOf(theme, ":root");
	const night = { ...day, ...coloursOf(theme, ':root[data-theme="night"]') };

	it("are all of the theme: no page has one of its own", () => {
		for (const file of styles.filter((name) => !name.endsWith("theme.css"))) {
			expect(
				read(file).match(/#[0-9a-f]{3,8}\b|\brgb|\bhsl|\bwhite\b(?!-)|\bblack\b/gi),
				file,
			).toBeNull();
		}
	});

	it("by night are each said anew", () => {
		expect(Object.keys(coloursOf(theme, ':root[data-theme="night"]')).sort()).toEqual(
			Object.keys(day).sort(),
		);
	});

	// Rods are all but blind to light beyond some 620 nm and see green and blue best, so that red
	// light leaves them used to the dark (CIE 1951 scotopic curve, from memory). The limits are ours.
	it.each(Object.entries(night))("by night %s is red and dim, or dark", (_, colour) => {
		expect(luminance(colour)).toBeLessThan(0.34);
		if (luminance(colour) > 0.01) expect(shareOfRed(colour)).toBeGreaterThan(0.6);
	});

	it("would find a night that is white or blue", () => {
		expect(luminance("#ffffff")).toBeGreaterThan(0.34);
		expect(shareOfRed("#3060ff")).toBeLessThan(0.6);
	});

	const grounds = ["paper", "panel", "alarm-panel", "caution-panel"];
	const texts = ["ink", "ink-soft", "link", "alarm"];
	const pairs = [
		...texts.flatMap((text) => grounds.map((ground) => ({ text, ground, least: 4.5 }))),
		{ text: "on-main", ground: "main", least: 4.5 },
		{ text: "on-stop", ground: "stop", least: 4.5 },
		...["line", "focus", "alarm", "caution"].map((text) => ({ text, ground: "paper", least: 3 })),
		{ text: "ink", ground: "fuel", least: 3 },
		{ text: "ink", ground: "metal", least: 3 },
	];
	it.each(pairs)(
		"$text on $ground is told apart by $least in both lights",
		({ text, ground, least }) => {
			for (const light of [day, night]) {
				expect(contrast(light[text] ?? "", light[ground] ?? "")).toBeGreaterThanOrEqual(least);
			}
		},
	);
});
