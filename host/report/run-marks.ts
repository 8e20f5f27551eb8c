// What happened in a run, as marks in lanes over the panels and as a list beside them: weather,
// what the crew did, what broke, what tripped, orders and how they ended. Each mark has a letter
// and a number by which the list tells it. Made from records and trace. Imports the frame.

import { type TripCode, trips } from "../../firmware/cycle/trips.ts";
import type { LogRecord, RecordKind } from "../../firmware/log/record.ts";
import type { Deed, Weather } from "../../sim/bench/crew.ts";
import type { CrewAct } from "../../sim/bench/crew-schema.ts";
import type { RunTrace } from "../../sim/bench/run-trace.ts";
import { type Fault, faultRows } from "../../sim/faults.ts";
import { accountLines, clock, wrap } from "./account.ts";
import { HAIR, LANES, LIST, nameAt, PANELS, type TimeScale, TYPE } from "./run-frame.ts";
import { lineFrom, shape, textAt, textWidth } from "./svg.ts";

type Lane = (typeof LANES.order)[number];

export interface Mark {
	readonly lane: Lane;
	/** Letter of the lane and number within it. */
	readonly label: string;
	readonly atMs: number;
	/** Until when a fault lasted; null for what takes no time. */
	readonly toMs: number | null;
	readonly words: string;
	/** What the list leaves out where it lacks room. */
	readonly more: string;
}

const letters = { weather: "W", crew: "C", faults: "F", trips: "T", orders: "O" } as const;
const laneNames = {
	weather: "Weather",
	crew: "Crew",
	faults: "Faults",
	trips: "Trips",
	orders: "Orders",
} as const;
const TOLD: readonly RecordKind[] = [
	...(["order", "order-refused", "run-end", "held", "stop", "interrupted"] as const),
	...(["planned", "plan-refused", "plan-ended"] as const),
	...(["arming-refused", "disarmed", "acknowledge-refused", "cleared"] as const),
];
/** Those of which the account's second column is part of the story. */
const REASONED: readonly RecordKind[] = [
	...(["order-refused", "held", "plan-refused", "plan-ended"] as const),
	...(["arming-refused", "disarmed", "acknowledge-refused"] as const),
];
/** They come and are over: nothing of them lasts. */
const AT_ONCE: readonly Fault[] = ["water-slug", "controller-restarts"];

export function marksOf(
	records: readonly LogRecord[],
	{ deeds, faults }: Pick<RunTrace, "deeds" | "faults">,
	pulsesPerLitre: number,
	endMs: number,
): Mark[] {
	const found: Array<Omit<Mark, "label">> = [
		...records.flatMap((record) => ofRecord(record, pulsesPerLitre)),
		...deeds.flatMap(ofDeed),
		...faults.map(({ fault, fromMs, toMs }) => ({
			lane: "faults" as const,
			atMs: fromMs,
			toMs: AT_ONCE.includes(fault) ? null : (toMs ?? endMs),
			words: sentence(spaced(fault)),
			more: faultRows[fault].what,
		})),
	];
	// What was done and broke comes before what the controller made of it in the same tick.
	const isRecord = ({ lane }: { lane: Lane }) => Number(lane === "trips" || lane === "orders");
	found.sort((a, b) => a.atMs - b.atMs || isRecord(a) - isRecord(b));
	const counts = { weather: 0, crew: 0, faults: 0, trips: 0, orders: 0 };
	return found.map((mark) => {
		counts[mark.lane] += 1;
		return { ...mark, label: `${letters[mark.lane]}${counts[mark.lane]}` };
	});
}

/** What broke stands in the trace with its end. */
function ofDeed(deed: Deed): Array<Omit<Mark, "label">> {
	const mark = { atMs: deed.atMs, toMs: null, more: "" };
	if (deed.kind === "crew") return [{ ...mark, lane: "crew", words: actWords(deed.act) }];
	if (deed.kind === "fault") return [];
	return [{ ...mark, lane: "weather", words: weatherWords(deed.weather) }];
}

function actWords({ does, tank, litres, volts, fault }: CrewAct): string {
	const details = [
		...(litres === undefined ? [] : [`${litres} L`]),
		...(tank === undefined ? [] : [tank]),
		...(volts === undefined ? [] : [`${volts} V`]),
		...(fault === undefined ? [] : [fault]),
	];
	const act = sentence(spaced(does));
	return details.length === 0 ? act : `${act}: ${details.join(", ")}`;
}

function weatherWords({ sea, airC, fuelC, chargerAmps }: Weather): string {
	const parts = [
		...(sea === undefined ? [] : [`sea rolls ${sea.rollDeg}° in ${sea.periodS} s`]),
		...(airC === undefined ? [] : [`air ${airC} °C`]),
		...(fuelC === undefined ? [] : [`fuel ${fuelC} °C`]),
		...(chargerAmps === undefined ? [] : [`charger ${chargerAmps} A`]),
	];
	return sentence(parts.join(", "));
}

function ofRecord(record: LogRecord, pulsesPerLitre: number): Array<Omit<Mark, "label">> {
	const at = { atMs: record.monoMs, toMs: null };
	if (record.kind === "trip") {
		return [{ ...at, lane: "trips", words: `Trip ${record.code}`, more: tripWords(record) }];
	}
	const isReboot = record.kind === "boot" && record.boot > 1;
	if (!isReboot && !TOLD.includes(record.kind)) return [];
	const [line] = accountLines([record], pulsesPerLitre);
	if (line === undefined) return [];
	const isReasoned = REASONED.includes(record.kind);
	const bare = (text: string) => text.replace(/\.$/, "");
	return [
		{ ...at, lane: "orders", words: bare(line.what), more: isReasoned ? bare(line.why) : "" },
	];
}

/** The cause as it was recorded, where that tells more than the code. */
const tripWords = ({ code, cause }: { code: TripCode; cause: string }): string =>
	cause === "" ? trips[code].cause : cause;

const spaced = (name: string): string => name.replaceAll("-", " ");

const sentence = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** A sentence after a colon. Not a word of capitals. */
const lowered = (text: string): string =>
	/^[A-Z][a-z]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text;

/** What broke says its name too. */
function inFull({ lane, words, more }: Mark): string {
	if (more === "") return words;
	return lane === "faults" ? sentence(more) : `${words}: ${lowered(more)}`;
}

interface Group {
	readonly marks: readonly Mark[];
	/** Middle of its box. */
	readonly x: number;
	readonly width: number;
}

const BOX_PAD = 6;
const BOX_GAP = 2;

const labelOf = (marks: readonly Mark[]): string => {
	const first = marks[0]?.label ?? "";
	return marks.length === 1 ? first : `${first}–${marks.at(-1)?.label.slice(1) ?? ""}`;
};
const boxWidth = (label: string): number => textWidth(label, TYPE.small) + BOX_PAD;

/** Marks of one lane that would stand on each other share a box. */
function groupsOf(marks: readonly Mark[], { x, endMs }: TimeScale): Group[] {
	const groupOf = (some: readonly Mark[]): Group => {
		const width = boxWidth(labelOf(some));
		const middle = (x(some[0]?.atMs ?? 0) + x(some.at(-1)?.atMs ?? 0)) / 2;
		// Within the plot, also where it belongs to one of its edges.
		const place = Math.min(x(endMs) - width / 2, Math.max(x(0) + width / 2, middle));
		return { marks: some, x: place, width };
	};
	const groups: Group[] = [];
	for (const mark of marks) {
		let group = groupOf([mark]);
		for (let before = groups.at(-1); before && doTouch(before, group); before = groups.at(-1)) {
			group = groupOf([...before.marks, ...group.marks]);
			groups.pop();
		}
		groups.push(group);
	}
	return groups;
}

const doTouch = (before: Group, after: Group): boolean =>
	before.x + before.width / 2 + BOX_GAP > after.x - after.width / 2;

const looks = {
	weather: { fill: "#fff", ink: "#000", rx: 6 },
	orders: { fill: "#fff", ink: "#000", rx: 0 },
	crew: { fill: "#fff", ink: "#000", rx: 6 },
	faults: { fill: "#d9d9d9", ink: "#000", rx: 0 },
	trips: { fill: "#000", ink: "#fff", rx: 0 },
} as const;

/** A mark's box around its label; `x` is its middle. */
export function markBox(lane: Lane, label: string, x: number, y: number): string {
	const { fill, ink, rx } = looks[lane];
	const width = boxWidth(label);
	const box = { x: x - width / 2, y: y - 7, width, height: 14, rx, fill };
	return [
		shape("rect", { ...box, stroke: "#000", "stroke-width": HAIR }),
		textAt([x, y + 3.8], label, {
			"text-anchor": "middle",
			"font-size": TYPE.small,
			fill: ink,
		}),
	].join("");
}

export function lanes(marks: readonly Mark[], scale: TimeScale): string[] {
	const { x } = scale;
	const grid = { stroke: "#bbb", "stroke-width": HAIR };
	return LANES.order.flatMap((lane, i) => {
		const y = LANES.top + (i + 0.5) * LANES.height;
		const own = marks.filter((mark) => mark.lane === lane);
		const bars = own.flatMap(({ atMs, toMs }) =>
			toMs === null
				? []
				: [
						shape("rect", {
							x: x(atMs),
							y: y - 3,
							width: Math.max(1, x(toMs) - x(atMs)),
							height: 6,
							fill: "#d9d9d9",
							stroke: "#000",
							"stroke-width": HAIR,
						}),
					],
		);
		return [
			nameAt(y + 4, laneNames[lane]),
			lineFrom([x(0), y], [x(scale.endMs), y], grid),
			...bars,
			...groupsOf(own, scale).map((group) => markBox(lane, labelOf(group.marks), group.x, y)),
		];
	});
}

/** So many lines down through the panels, and no more; trips go before faults. */
const GUIDES_MAX = 24;

/** Down through each panel where something tripped or broke. */
export function guides(all: readonly Mark[], { x }: TimeScale): string[] {
	const trips = all.filter(({ lane }) => lane === "trips");
	const both = all.filter(({ lane }) => lane === "trips" || lane === "faults");
	const marks = both.length <= GUIDES_MAX ? both : trips.slice(0, GUIDES_MAX);
	const dashes = { trips: "none", faults: "1.5 3" } as const;
	return marks.flatMap(({ lane, atMs }) =>
		lane === "trips" || lane === "faults"
			? Array.from({ length: PANELS.count }, (_, i) => {
					const top = PANELS.top + i * PANELS.step;
					return lineFrom([x(atMs), top], [x(atMs), top + PANELS.height], {
						stroke: "#555",
						"stroke-width": HAIR,
						"stroke-dasharray": dashes[lane],
					});
				})
			: [],
	);
}

const LINE = 14;
/** A number and its unit stay on one line. */
const UNIT = /(\d) (?=(?:L|h|V|A|Ω|mL|kPa|°C)\b)/g;
const LABEL_WIDTH = 28;

/** How far the list goes: with all it knows, with the bare words, and less and less of it. */
const KEPT: ReadonlyArray<{ lanes: readonly Lane[]; more: boolean }> = [
	{ lanes: LANES.order, more: true },
	{ lanes: LANES.order, more: false },
	{ lanes: ["trips", "faults", "orders"], more: false },
	{ lanes: ["trips", "faults"], more: false },
];

/** Each mark in time order, as many as there is room for. */
export function list(marks: readonly Mark[]): string[] {
	const linesMax = Math.floor((LIST.bottom - LIST.top) / LINE) - 1;
	const timeWidth = textWidth(clock(marks.at(-1)?.atMs ?? 0), TYPE.small) + 6;
	const room = LIST.right - LIST.left - LABEL_WIDTH - timeWidth;
	const letterCount = Math.floor(room / textWidth("m", TYPE.small));
	const rowsOf = (kept: (typeof KEPT)[number]) =>
		marks
			.filter(({ lane }) => kept.lanes.includes(lane))
			.map((mark) => {
				const all = kept.more ? inFull(mark) : mark.words;
				return { mark, lines: wrap(all.replace(UNIT, "$1\u00a0"), letterCount) };
			});
	const count = (rows: ReturnType<typeof rowsOf>) =>
		rows.reduce((sum, { lines }) => sum + lines.length, 0);
	const tries = KEPT.map(rowsOf);
	const rows = tries.find((one) => count(one) <= linesMax - 1) ?? tries.at(-1) ?? [];
	const drawn = [
		textAt([LIST.left, LIST.top - 6], "What happened", {
			"font-weight": "bold",
			"font-size": TYPE.heading,
		}),
	];
	let line = 0;
	let told = 0;
	for (const { mark, lines } of rows) {
		if (line + lines.length > linesMax - 1) break;
		const y = LIST.top + 10 + line * LINE;
		const at = LIST.left + LABEL_WIDTH;
		drawn.push(
			textAt([LIST.left, y], mark.label, { "font-size": TYPE.small, "font-weight": "bold" }),
			textAt([at, y], clock(mark.atMs), { "font-size": TYPE.small }),
			...lines.map((text, i) =>
				textAt([at + timeWidth, y + i * LINE], text, { "font-size": TYPE.small }),
			),
		);
		line += lines.length;
		told += 1;
	}
	const left = marks.length - told;
	if (left > 0) {
		const text = `${left} more: see the account.`;
		drawn.push(textAt([LIST.left, LIST.top + 10 + line * LINE], text, { "font-size": TYPE.small }));
	}
	return drawn;
}
