// The live view of a controller: a scene as lines of text, at most so many and none wider than the
// terminal. Everything is said in words, colour only repeats it. Pure: the time is an argument.

import pc from "picocolors";
import { type HoldCause, holdRows } from "../../firmware/cycle/holds.ts";
import type { Status } from "../../firmware/link/protocol.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { Seen } from "../link/live-scene.ts";
import { accountLines, clock, wrap } from "./account.ts";
import { fitted, harmless } from "./cell-width.ts";
import { tripWords } from "./trip-words.ts";

/** What is known of it, and where it was asked. */
export interface Scene extends Omit<Seen, "clock"> {
	readonly port: string;
}

export interface Screen {
	readonly width: number;
	readonly height: number;
	readonly colour: boolean;
}

type Mark = "title" | "plain" | "alarm" | "warning";
interface Row {
	readonly mark: Mark;
	readonly text: string;
}
type Sample = Extract<LogRecord, { kind: "sample" }>;

/** What is shown is told to be old from here on, ms. */
const OLD_MS = 3_000;
/** `Stop` and the name of every other row. */
const NAME_COLUMNS = 9;
const BAR_COLUMNS = 30;
/** In this order, as a narrow terminal shows the beginning only. */
const CAUTION = "The stop button is at the rig: this view stops nothing. Diesel burns.";

const plain = (text: string): Row => ({ mark: "plain", text });
const named = (name: string, text: string, mark: Mark = "plain"): Row => ({
	mark,
	text: `${name.padEnd(NAME_COLUMNS)}${text}`,
});

/** At most `height` lines of at most `width` columns. */
export function watchLines(scene: Scene, nowMs: number, screen: Screen): string[] {
	const { width, height } = screen;
	const head = [titleRow(scene, width), ...lineRows(scene, nowMs), ...stateRows(scene, nowMs)];
	const alarms = tripRows(scene, width);
	const rest = [
		...orderRows(scene.status),
		...restRows(scene, nowMs),
		...sampleRows(scene, nowMs),
		...waitingRows(scene.status),
		...logRows(scene.status),
	];
	const foot = [plain(CAUTION), plain("q or Ctrl-C ends it; the rig goes on.")];
	// Where there is little room the worst things stay: state, trips, and the caution.
	const body = [...head, ...alarms, ...rest].slice(0, Math.max(1, height - foot.length));
	const room = height - body.length - foot.length;
	const rows = [...body, ...eventRows(scene, room), ...foot].slice(0, Math.max(1, height));
	return rows.map((row) => painted(row, screen));
}

function painted({ mark, text }: Row, { width, colour }: Screen): string {
	const line = fitted(harmless(text), width);
	const colours = pc.createColors(colour);
	if (mark === "title") return colours.bold(line);
	if (mark === "alarm") return colours.red(line);
	return mark === "warning" ? colours.yellow(line) : line;
}

function titleRow({ rig, boot, port }: Scene, width: number): Row {
	const left = `Lees: ${harmless(rig)}, boot ${boot}`;
	const gap = Math.max(2, width - left.length - port.length);
	return { mark: "title", text: `${left}${" ".repeat(gap)}${port}` };
}

/** The controller's own time, as it goes on since it was last heard. */
const monoNow = ({ status, statusAtMs }: Scene, nowMs: number) =>
	status.monoMs + Math.max(0, nowMs - statusAtMs);

function lineRows({ lostAtMs, statusAtMs }: Scene, nowMs: number): Row[] {
	const old = `what is shown is ${spanWords(nowMs - statusAtMs)} old`;
	if (lostAtMs !== null) {
		const lost = `LOST ${spanWords(nowMs - lostAtMs)} ago; looking for it; ${old}`;
		return [named("Link", lost, "warning")];
	}
	if (nowMs - statusAtMs > OLD_MS) return [named("Link", `no answer; ${old}`, "warning")];
	return [named("Link", "up")];
}

function stateRows(scene: Scene, nowMs: number): Row[] {
	const { status } = scene;
	const sinceMs = stateSinceMs(scene);
	const since =
		sinceMs === null
			? ""
			: ` for ${clock(monoNow(scene, nowMs) - sinceMs)}, since ${clock(sinceMs)} after boot`;
	const words = stateWords[status.state] ?? "";
	const isTripped = status.state === "tripped";
	return [
		named("State", `${status.state.toUpperCase()}${since}${words}`, isTripped ? "alarm" : "plain"),
		named("Pump", pumpWords(scene, nowMs)),
	];
}

const stateWords: Readonly<Record<string, string>> = {
	priming: ": horn, proofs, waiting for fuel",
	standing: ": the bowl settles between bursts",
	resting: ": the pump cools or its rating asks for it",
	held: ": it goes on by itself",
	commissioning: ": somebody proves the box",
	tripped: ": the pump stays off",
};

/** A pump that was on when the line went may be on still: nobody here knows. */
function pumpWords({ status, statusAtMs, lostAtMs }: Scene, nowMs: number): string {
	const word = status.pumpDemanded ? "ON" : "OFF";
	const ageMs = nowMs - statusAtMs;
	if (lostAtMs === null && ageMs <= OLD_MS) return word;
	return `was ${word} when last heard, ${spanWords(ageMs)} ago; now unknown`;
}

/** When the state that is shown began, ms after boot; null when the records do not say. */
function stateSinceMs({ status, records }: Scene): number | null {
	const last = records.findLast((record) => record.kind === "state");
	if (last !== undefined) return last.to === status.state ? last.monoMs : null;
	return records[0]?.kind === "boot" && status.state === "idle" ? records[0].monoMs : null;
}

function tripRows({ status: { trips: open }, senses }: Scene, width: number): Row[] {
	if (open.length === 0) return [named("Trips", "none")];
	const blocked = senses?.blocked ?? [];
	const rows = open.flatMap(({ code, cause }) => {
		const { cause: whole, toDo, where } = tripWords(code, cause);
		const why = wrap(`${code}: ${whole}`, width - NAME_COLUMNS);
		const lines = wrap(`Do: ${toDo}. Then acknowledge ${where}.`, width - NAME_COLUMNS);
		const reasons = blocked.filter((one) => one.code === code).map((one) => one.why);
		return [
			...why.map((text, i) => named(i === 0 ? "TRIP" : "", text, "alarm")),
			...lines.map((text) => named("", text)),
			...reasons.flatMap((reason) => notYetRows(reason, width)),
		];
	});
	// One that is not among the worst may be what an acknowledgement waits for.
	const others = blocked.filter(({ code }) => !open.some((trip) => trip.code === code));
	return [...rows, ...others.flatMap(({ code, why }) => notYetRows(`${code}: ${why}`, width))];
}

/** Why an acknowledgement would be refused. */
function notYetRows(reason: string, width: number): Row[] {
	const lines = wrap(`Not yet: ${reason}.`, width - NAME_COLUMNS);
	return lines.map((text) => named("", text, "warning"));
}

function orderRows(status: Status): Row[] {
	const { order, run, pulsesPerLitre } = status;
	const litres = run.pulses / pulsesPerLitre;
	const hours = run.motorMs / 3_600_000;
	const moved = `${litres.toFixed(2)} L in ${hours.toFixed(3)} h of pumping`;
	if (order === null) return [named("Order", "none"), named("Last run", moved)];
	const where = order.toTank === null ? order.tank : `${order.tank} into ${order.toTank}`;
	const { goalLitres, goalHours, goalShare } = order;
	const goals = [
		...(goalLitres === null ? [] : [`${goalLitres.toFixed(goalLitres < 10 ? 2 : 0)} L`]),
		...(goalHours === null ? [] : [`${goalHours.toFixed(1)} h`]),
		...(goalShare === null ? [] : [`to ${(100 * goalShare).toFixed(0)} % of the tank`]),
	];
	const share =
		goalLitres !== null ? litres / goalLitres : goalHours !== null ? hours / goalHours : null;
	return [
		named("Order", `${order.work} ${where}, ${goals.join(", ") || "by bursts"}`),
		named("Run", moved),
		...(share === null ? [] : [named("", barOf(share))]),
	];
}

/** As `[######----] 60 %`. */
function barOf(share: number): string {
	const done = Math.min(1, Math.max(0, share));
	const full = Math.floor(done * BAR_COLUMNS);
	return `[${"#".repeat(full)}${"-".repeat(BAR_COLUMNS - full)}] ${Math.floor(100 * done)} %`;
}

/** What the sensors say while the pump stands still: samples come with it alone. */
function restRows({ status, senses, sensesAtMs }: Scene, nowMs: number): Row[] {
	if (status.pumpDemanded || senses?.sensed == null) return [];
	const { supplyVolts, fuelC, probe, levelFrom, levelTo } = senses.sensed;
	const words = [
		valueWords(supplyVolts, 2, "V"),
		`fuel ${valueWords(fuelC, 1, "°C")}`,
		`water probe ${probe}`,
		...(nowMs - sensesAtMs > OLD_MS ? [`${spanWords(nowMs - sensesAtMs)} old`] : []),
	];
	const levels: Array<[string, number | string]> = [
		["tube", levelFrom],
		["return", levelTo],
	];
	const tanks = levels
		.filter(([, level]) => level !== "not-fitted")
		.map(([what, level]) => `under the ${what} ${percentWords(level)}`);
	return [
		named("At rest", words.join("  ")),
		...(tanks.length === 0 ? [] : [named("", `tank ${tanks.join(", ")}`)]),
	];
}

function sampleRows(scene: Scene, nowMs: number): Row[] {
	const sample = scene.records.findLast((record) => record.kind === "sample");
	if (sample === undefined) {
		return [named("Readings", "none in this boot: they come with the pump")];
	}
	const age = spanWords(monoNow(scene, nowMs) - sample.monoMs);
	return [named("Readings", readingWords(sample)), named("", `${age} old`)];
}

function readingWords({ flowLph, vacuumKpa, supplyVolts, motorAmps, fuelC }: Sample): string {
	return [
		`flow ${valueWords(flowLph, 1, "L/h")}`,
		`vacuum ${valueWords(vacuumKpa, 1, "kPa")}`,
		valueWords(supplyVolts, 2, "V"),
		valueWords(motorAmps, 2, "A"),
		`fuel ${valueWords(fuelC, 1, "°C")}`,
	].join("  ");
}

const valueWords = (quantity: number | string, digits: number, unit: string): string =>
	typeof quantity === "number" ? `${quantity.toFixed(digits)} ${unit}` : quantity;

const percentWords = (share: number | string): string =>
	typeof share === "number" ? `${(100 * share).toFixed(0)} %` : share;

function waitingRows({ heldFor, armed, planned, waits }: Status): Row[] {
	const held = heldFor.map((cause) =>
		Object.hasOwn(holdRows, cause) ? holdRows[cause as HoldCause].words : cause,
	);
	const tank = armed === null ? "no" : `yes, for ${armed.tank ?? "its first order's tank"}`;
	const plans = planned.length === 0 ? "none" : planned.join(", ");
	return [
		...held.map((words) => named("Held for", words, "warning")),
		named("Armed", `${tank}   Plans: ${plans}`),
		...(waits === null ? [] : [named("", `${waits.id} is due and waits: ${waits.why}`)]),
	];
}

function logRows({ logFailed, durableSeq, localTime }: Status): Row[] {
	const log = logFailed
		? named("Log", `FAILED after record ${durableSeq}: look at the computer's disk`, "alarm")
		: named("Log", `on disk to record ${durableSeq}`);
	const time = localTime?.replace("T", " ") ?? "unknown to the rig: `lees clock PORT` tells it";
	return [log, named("Time", time)];
}

/** The latest things that happened, in what room is left; none where there is no room for one. */
function eventRows({ records, status }: Scene, room: number): Row[] {
	if (room < 2) return [];
	const events = accountLines(records, status.pulsesPerLitre).slice(1 - room);
	const rows = events.map(({ monoMs, what, why }) =>
		plain(`${clock(monoMs).padStart(8)} ${what} ${why}`.trimEnd()),
	);
	const blank = Array.from({ length: room - 1 - rows.length }, () => plain(""));
	return [named("Events", "h:mm:ss after boot", "title"), ...rows, ...blank];
}

/** As `12 s`, `5 min`, `3 h`. */
function spanWords(ms: number): string {
	const seconds = Math.max(0, Math.floor(ms / 1000));
	if (seconds < 120) return `${seconds} s`;
	return seconds < 7_200 ? `${Math.floor(seconds / 60)} min` : `${Math.floor(seconds / 3_600)} h`;
}

/** What has changed since, as one line for a pipe; the same words again say that nothing has. */
export function watchWords({ lostAtMs, status }: Pick<Scene, "lostAtMs" | "status">): string {
	if (lostAtMs !== null) return "link lost";
	const { state, pumpDemanded, trips: open, heldFor, armed, order, logFailed } = status;
	return [
		state,
		`pump ${pumpDemanded ? "ON" : "OFF"}`,
		...(order === null ? [] : [`order ${order.work} ${order.tank}`]),
		...open.map(({ code, cause }) => `TRIP ${code}: ${tripWords(code, cause).cause}`),
		...heldFor.map((cause) => `held for ${cause}`),
		...(armed === null ? [] : ["armed"]),
		...(logFailed ? ["LOG FAILED"] : []),
	]
		.map(harmless)
		.join(", ");
}
