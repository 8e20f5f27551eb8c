// The whole wiring as it is shipped: read from hardware/, held to its rules, drawn. What `npm run
// docs` writes and the tests compare comes from here. Node only.

import { createHash } from "node:crypto";
import { join } from "node:path";
import { InputError } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { readPinMap } from "../../firmware/config/pins.ts";
import { readSheets, type Sheet } from "./drawing/sheet-plan.ts";
import { type Drawn, drawSheet } from "./drawing/sheet-svg.ts";
import { type Netlist, readNetlist } from "./netlist.ts";
import { type PartsFile, readParts } from "./parts-list.ts";
import { partsPage } from "./parts-page.ts";
import { wiringProblems } from "./rules.ts";
import { wiringPage } from "./wiring-page.ts";

const PINS = "hardware/pins.yaml";
const WIRING = "hardware/wiring.yaml";
const PARTS = "hardware/parts.yaml";
const SHEETS = "hardware/wiring-sheets.yaml";

export interface WiringSet {
	readonly list: Netlist;
	readonly sheets: readonly Sheet[];
	/** First letters of the SHA-256 of all that the sheets are made from. */
	readonly revision: string;
}

/** @throws InputError where a file is wrong, or the wiring breaks a rule */
export function loadWiring(root: string): WiringSet {
	const [pinText, wiringText, sheetText] = [PINS, WIRING, SHEETS].map((file) =>
		readInputFile(join(root, file)),
	) as [string, string, string];
	const list = readNetlist(wiringText, WIRING, readPinMap(pinText, PINS));
	const broken = wiringProblems(list);
	if (broken.length > 0) {
		throw new InputError(
			broken.map((found) => ({ file: WIRING, found, allowed: "the rule kept" })),
		);
	}
	const sheets = readSheets(sheetText, SHEETS, list);
	const hash = createHash("sha256").update(`${pinText}\0${wiringText}\0${sheetText}`);
	return { list, sheets, revision: hash.digest("hex").slice(0, 10) };
}

/** Every file that is made from the wiring, by its path. */
export function wiringFiles(set: WiringSet, parts: PartsFile): Map<string, string> {
	const sheets = [...drawSheets(set)].map(
		([name, { svg }]) => [`hardware/${name}.svg`, svg] as const,
	);
	return new Map([
		...sheets,
		["hardware/WIRING.md", wiringPage(set)],
		["hardware/PARTS.md", partsPage(parts, set.list)],
	]);
}

export const loadParts = (root: string, { list }: WiringSet): PartsFile =>
	readParts(readInputFile(join(root, PARTS)), PARTS, list);

/** Every sheet by its name. */
export function drawSheets({ list, sheets, revision }: WiringSet): Map<string, Drawn> {
	const count = sheets.length;
	return new Map(
		sheets.map((sheet, i) => [
			sheet.sheet,
			drawSheet(sheet, list, { number: i + 1, count, revision }),
		]),
	);
}
