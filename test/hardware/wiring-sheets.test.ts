// The printed sheets: every wire reaches all its ends and touches no other, no line runs through a
// text, no text through another or over a box's edge; and what is shipped is what is drawn today.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { readSheets } from "../../host/wiring/drawing/sheet-plan.ts";
import type { Drawn, Segment } from "../../host/wiring/drawing/sheet-svg.ts";
import type { Net } from "../../host/wiring/netlist.ts";
import { readParts } from "../../host/wiring/parts-list.ts";
import { drawSheets, loadParts, loadWiring, wiringFiles } from "../../host/wiring/wiring-set.ts";
import { root } from "../stories/world.ts";

const set = loadWiring(root);
const drawn = [...drawSheets(set)];

const NEAR = 0.01;
/** A point of a segment; both run along an axis. */
function holds({ from, to }: Segment, [x, y]: readonly [number, number]): boolean {
	const inside = (v: number, a: number, b: number) =>
		v >= Math.min(a, b) - NEAR && v <= Math.max(a, b) + NEAR;
	return inside(x, from[0], to[0]) && inside(y, from[1], to[1]);
}
const touch = (a: Segment, b: Segment) =>
	[a.from, a.to].some((p) => holds(b, p)) || [b.from, b.to].some((p) => holds(a, p));

/** Segments of a net that hang together with the first one. */
function connected(segments: readonly Segment[]): Set<Segment> {
	const reached = new Set(segments.slice(0, 1));
	for (const one of reached)
		for (const other of segments) if (touch(one, other)) reached.add(other);
	return reached;
}

interface Area {
	readonly left: number;
	readonly right: number;
	readonly top: number;
	readonly bottom: number;
}
const areaOf = ({ x, y, width, size }: Drawn["texts"][number]): Area => ({
	left: x,
	right: x + width,
	top: y - 0.72 * size,
	bottom: y,
});
const cross = (a: Area, b: Area) =>
	a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
const lineArea = ({ from, to }: Segment): Area => ({
	left: Math.min(from[0], to[0]),
	right: Math.max(from[0], to[0]) + NEAR,
	top: Math.min(from[1], to[1]),
	bottom: Math.max(from[1], to[1]) + NEAR,
});

describe.each(drawn)("%s", (_, { texts, segments, frames, ends, blocked }) => {
	const nets = [...new Set(ends.map(({ net }) => net))];
	const of = (net: Net) => segments.filter((segment) => segment.net === net);

	it("finds a way for every wire", () => {
		expect(blocked).toEqual([]);
	});

	it("leads every wire to all its ends", () => {
		for (const net of nets) {
			const own = ends.filter((end) => end.net === net && !end.isTag);
			const together = own.length > 0 ? [...connected(of(net))] : [];
			for (const { at } of own) {
				const isReached = together.some((segment) => holds(segment, at));
				expect(isReached, `net ${net.net}`).toBe(true);
			}
		}
	});

	it("joins no two wires: one ends on no other, and none lie on each other", () => {
		const bad = segments.flatMap((a) =>
			segments.flatMap((b) =>
				a.net !== b.net && touch(a, b) ? [`${a.net.net} and ${b.net.net}`] : [],
			),
		);
		expect(bad).toEqual([]);
	});

	it("runs no line through a text", () => {
		const bad = texts.flatMap((text) =>
			segments.flatMap((line) =>
				cross(areaOf(text), lineArea(line)) ? [`${text.words} / ${line.net.net}`] : [],
			),
		);
		expect(bad).toEqual([]);
	});

	it("lays no text over another or over a box's edge", () => {
		const bad = texts.flatMap((text, i) => {
			const area = areaOf(text);
			const over = texts.slice(i + 1).filter((other) => cross(area, areaOf(other)));
			const cut = frames.filter(({ x, y, width, height }) => {
				const box = { left: x, right: x + width, top: y, bottom: y + height };
				const isIn = area.left >= box.left && area.right <= box.right && area.bottom <= box.bottom;
				return cross(area, box) && !(isIn && area.top >= box.top);
			});
			return [
				...over.map(({ words }) => `${text.words} / ${words}`),
				...cut.map(() => `${text.words} / an edge`),
			];
		});
		expect(bad).toEqual([]);
	});

	it("names an end, and of wires drawn here every end, that stands on another sheet", () => {
		for (const net of nets) {
			if (net.bar !== undefined) continue;
			const isDrawn = ends.some((one) => one.net === net && !one.isTag);
			const away = net.ends.filter((end) => !ends.some((one) => one.end === end));
			const refs = away.map((end) => set.list.parts[end.split(".")[0] ?? ""]?.ref ?? "");
			const own = texts.filter(({ words }) => words.startsWith(`${net.net} `));
			const isTold = (ref: string) => own.some(({ words }) => words.split(/[ +]/).includes(ref));
			const told = refs.filter(isTold);
			const asked = isDrawn ? refs.length : Math.min(1, refs.length);
			expect(told.length, `net ${net.net}`).toBeGreaterThanOrEqual(asked);
		}
	});

	it("says number and colour in words at every terminal", () => {
		for (const { net, at } of ends) {
			const near = texts.some(
				({ words, x, y, width }) =>
					words.startsWith(`${net.net}`) &&
					Math.abs(y - at[1]) < 1.2 &&
					Math.min(Math.abs(x - at[0]), Math.abs(x + width - at[0])) < 5,
			);
			expect(near, `net ${net.net} at ${at}`).toBe(true);
		}
	});
});

describe("what is made from the wiring", () => {
	it.each([...wiringFiles(set, loadParts(root, set))])(
		"%s is fresh: if not, npm run docs",
		(file, text) => {
			expect(readFileSync(join(root, file), "utf8")).toBe(text);
		},
	);

	it("carries the revision of its sources on each sheet and on the page", () => {
		expect(set.revision).toMatch(/^[0-9a-f]{10}$/);
		for (const [, { svg }] of drawn) expect(svg).toContain(`Revision ${set.revision}`);
	});
});

describe("the plan of the sheets", () => {
	const file = "hardware/wiring-sheets.yaml";
	const text = readInputFile(join(root, file));
	it.each<[string, string, string, RegExp]>([
		[
			"a terminal on no sheet",
			"left: [common, make]",
			"left: [common]",
			/contact-k2\.make on 0 sheets/,
		],
		[
			"a terminal on two",
			"right: [plus, minus]",
			"right: [plus, plus]",
			/battery\.plus on 2 sheets/,
		],
		[
			"boxes over each other",
			"part: regulator, row: 9",
			"part: regulator, row: 12",
			/ends before row 14/,
		],
		["a part that is not there", "part: isolator,", "part: insulator,", /allowed: a part/],
	])("refuses %s", (_, from, to, says) => {
		const changed = text.replace(from, to);
		expect(changed).not.toBe(text);
		expect(() => readSheets(changed, file, set.list)).toThrow(says);
	});
});

describe("the parts list", () => {
	const file = "hardware/parts.yaml";
	const text = readInputFile(join(root, file));
	it.each<[string, string, string, RegExp]>([
		["a part of the wiring without a row", "wired: [horn]", "quantity: 1", /no row for horn/],
		[
			"a row for what is not wired",
			"wired: [horn]",
			"wired: [horn, gong]",
			/a part or plug of wiring\.yaml/,
		],
		["a part in two rows", "wired: [horn]", "wired: [horn, pump]", /no other row has/],
		["a row without a rating", "rating: 1 %, 3 W", "", /parts\.yaml:\d+:\d+ .*rating/],
	])("refuses %s", (_, from, to, says) => {
		const changed = text.replace(from, to);
		expect(changed).not.toBe(text);
		expect(() => readParts(changed, file, set.list)).toThrow(says);
	});

	it("marks every switch, fuse, relay and motor as needing ignition protection", () => {
		const { rows } = loadParts(root, set);
		const marked = rows.flatMap(({ wired = [], ignition }) => (ignition ? wired : []));
		const sparks = ["fuse", "isolator", "relay", "motor"];
		sparks.push("stop-button", "seat-switch", "pressure-switch");
		const asked = Object.entries(set.list.parts).filter(
			([id, { kind }]) => sparks.includes(kind) && id !== "sensor-fuse",
		);
		expect(asked.map(([id]) => id).filter((id) => !marked.includes(id))).toEqual([]);
	});
});
