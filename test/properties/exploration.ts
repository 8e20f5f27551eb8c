// A walk through all that the statechart can come to: breadth first, from every boot, under every
// event, a moment after the last and in the instant at which a delay is due; and each pending delay
// may fire now, whatever its length (only the horn's own time is left to run). States count as one
// where what decides is the same (`keyOf`); each is walked on from the first way it was reached.

import {
	advance,
	type CycleState,
	cycleAtBoot,
	stateName,
	type Told,
} from "../../firmware/cycle/advance.ts";
import {
	contextAfter,
	isSweeping,
	isWarmEarly,
	isWaterAgain,
	mayHoldAgain,
	mustRest,
} from "../../firmware/cycle/context.ts";
import type { CycleEvent } from "../../firmware/cycle/events.ts";
import { type HoldCause, holdRows, RESUMES_WITHIN_MS } from "../../firmware/cycle/holds.ts";
import type { Statechart } from "../../firmware/cycle/statechart.ts";
import { type TripCode, trips } from "../../firmware/cycle/trips.ts";
import { exampleRig } from "../stories/world.ts";
import { type Happening, happenings, urgentHappenings } from "./statechart-events.ts";

/** An order has 90 min, the pump runs for 40 and rests for 20: either of them may end first. */
export const rig = exampleRig((text) =>
	text.replace("setpoints: {}", "setpoints: { timeLimitMinutes: 90 }"),
);

/** What one who watches from outside has seen since the last time the pump ran or stood idle. */
export interface Watch {
	/** A start was permitted by what was present then. */
	readonly permitted: boolean;
	/** For how long the horn has warned, ms. */
	readonly hornMs: number;
}

export interface Place {
	readonly cycle: CycleState;
	readonly nowMs: number;
	readonly watch: Watch;
}

export interface Move {
	readonly from: Place;
	readonly to: Place;
	/** What happened: an event's name, or the delay that fired. */
	readonly what: string;
	readonly event: CycleEvent | null;
	readonly letsStart: Happening["letsStart"] | undefined;
	readonly told: readonly Told[];
}

export interface Walk {
	/** Abstract states, each with the first way in. */
	readonly places: ReadonlyMap<string, Place>;
	readonly movesMade: number;
	/** Names of what moves from each abstract state to which, other than itself. */
	readonly leadsTo: ReadonlyMap<string, ReadonlySet<string>>;
	readonly found: readonly string[];
}

const NOTHING_SEEN: Watch = { permitted: false, hornMs: 0 };

/** Water and resumes are forgotten after this; the pump has cooled. */
const LONG_MS = RESUMES_WITHIN_MS + 1;
const WAITS_MS = [601_000, LONG_MS];

export const isPumping = ({ demand }: CycleState): boolean => demand.k1 && demand.beat;

/** Where a boot can begin: the log holds nothing, late water, an open run, or both. */
function boots(): Place[] {
	const context = (interrupted: boolean, waterLately: boolean) =>
		contextAfter({ interrupted, waterLately }, rig, 0);
	return [
		context(false, false),
		context(false, true),
		context(true, false),
		context(true, true),
	].map((made) => ({ cycle: { ...cycleAtBoot, context: made }, nowMs: 0, watch: NOTHING_SEEN }));
}

/**
 * @param check says what a move breaks, or null
 * @param enough stops the walk after so many finds
 */
export function walk(
	chart: Statechart,
	check: (move: Move) => string | null,
	{ enough = 1, events = happenings } = {},
): Walk {
	const places = new Map<string, Place>();
	const leadsTo = new Map<string, Set<string>>();
	const found: string[] = [];
	const queue: string[] = [];
	let movesMade = 0;
	const reach = (place: Place): string => {
		const key = keyOf(place);
		if (!places.has(key)) {
			places.set(key, place);
			queue.push(key);
			leadsTo.set(key, new Set());
		}
		return key;
	};
	for (const place of boots()) reach(place);
	for (let i = 0; i < queue.length && found.length < enough; i += 1) {
		const key = queue[i] ?? "";
		const place = places.get(key);
		if (place === undefined) continue;
		for (const move of movesFrom(chart, place, events)) {
			movesMade += 1;
			const broken = check(move);
			if (broken !== null) found.push(`${broken} (${key} by ${move.what})`);
			const next = reach(move.to);
			if (next !== key) leadsTo.get(key)?.add(next);
			if (found.length >= enough) break;
		}
	}
	return { places, movesMade, leadsTo, found };
}

/** Every way on from a place. */
function* movesFrom(chart: Statechart, from: Place, events: readonly Happening[]): Generator<Move> {
	const { cycle, nowMs } = from;
	const firstDueMs = Math.min(...cycle.delays.map(({ dueMs }) => dueMs));
	const move = (
		before: CycleState,
		event: CycleEvent | null,
		toMs: number,
		what: string,
		letsStart?: Happening["letsStart"],
	): Move => {
		const { cycle: after, told } = advance(chart, before, event === null ? [] : [event], toMs);
		const watch = watchOn(from, event, letsStart, after, toMs);
		return { from, to: { cycle: after, nowMs: toMs, watch }, what, event, letsStart, told };
	};
	const isIdle = cycle.value === "idle";
	for (const { name, at, letsStart, whileIdle } of events) {
		if (whileIdle && !isIdle) continue;
		yield move(cycle, at(nowMs + 1), nowMs + 1, name, letsStart);
	}
	// In the instant at which a delay is due the event goes first, and the delay after it.
	if (Number.isFinite(firstDueMs)) {
		for (const { name, at, letsStart } of urgentHappenings) {
			yield move(cycle, at(firstDueMs), firstDueMs, `${name}, at a delay`, letsStart);
		}
		yield move(cycle, null, firstDueMs, "the first delay");
		if (firstDueMs - nowMs > 4) yield move(cycle, null, firstDueMs - 2, "a wait, almost a delay");
	}
	for (const delay of cycle.delays) {
		if (delay.id.includes("hornTime")) continue;
		const early = cycle.delays.map((other) =>
			other === delay ? { ...delay, dueMs: nowMs + 1 } : other,
		);
		yield move({ ...cycle, delays: early }, null, nowMs + 1, `${delay.id} now`);
	}
	for (const waitMs of WAITS_MS) {
		if (nowMs + waitMs < firstDueMs) yield move(cycle, null, nowMs + waitMs, "a wait");
	}
}

/** What the watcher has seen after this move. */
function watchOn(
	{ cycle, nowMs, watch }: Place,
	event: CycleEvent | null,
	letsStart: Happening["letsStart"],
	after: CycleState,
	toMs: number,
): Watch {
	const name = stateName(after.value);
	const isBeforeStart = keyOfValue(after) === "priming.recording";
	if ((name !== "priming" && name !== "polishing") || isBeforeStart) return NOTHING_SEEN;
	if (isPumping(after)) return { permitted: watch.permitted, hornMs: 0 };
	const isLetStart =
		cycle.context.order?.attended === true ? letsStart?.attended : letsStart?.unattended;
	const isPermit = event?.type === "start-durable" && isLetStart === true;
	const more = cycle.demand.horn ? toMs - nowMs : 0;
	return { permitted: watch.permitted || isPermit, hornMs: watch.hornMs + more };
}

/** Dotted names of the state and what it stands in. */
export function keyOfValue({ value }: CycleState): string {
	const path: string[] = [];
	let here: unknown = value;
	while (typeof here === "object" && here !== null) {
		const [name, inner] = Object.entries(here)[0] ?? ["", ""];
		path.push(name);
		here = inner;
	}
	path.push(String(here));
	return path.filter((name) => name !== "working").join(".");
}

const classOf = (code: TripCode, drainSeen: boolean): string => {
	const { acknowledgeAt, afterwards } = trips[code];
	const own =
		code === "relay-stuck" ? "!" : code === "water-in-bowl" ? `w${drainSeen ? 1 : 0}` : "";
	return `${acknowledgeAt[0]}${afterwards[0]}${own}`;
};

/** What a hold becomes decides, and not what it waits for. */
const causeClass = (cause: HoldCause | undefined) =>
	cause === undefined ? "" : classOf(holdRows[cause].code, false);

/** All that decides how it goes on. Severity, words and ages beyond a limit do not. */
export function keyOf({ cycle, nowMs, watch }: Place): string {
	const { context } = cycle;
	const name = stateName(cycle.value);
	const open = new Set(context.trips.map(({ code, drainSeen }) => classOf(code, drainSeen)));
	const order = context.order === null ? "-" : context.order.attended ? "attended" : "alone";
	const sweep = context.order?.sweep === null ? "" : context.order?.work;
	// Bursts count while an order sweeps, and begin anew with an acknowledgement.
	const isInBursts = isSweeping(context) && name !== "tripped";
	// Whether fuel was proven is asked of the burst under way only.
	const isBurst = isPumping(cycle) || name === "standing";
	const proven = isBurst && context.burstProven ? "+" : "";
	const bursts = isInBursts ? `${context.dryBursts}${proven}` : "";
	// Set anew when an order is taken; tries also, and what is unproven, by an acknowledgement.
	const resumes = context.order === null ? 0 : resumesOf(cycle, nowMs);
	const primeTry = context.order === null || name === "tripped" ? 0 : context.primeTry;
	const unproven = name !== "tripped" && context.unproven.length > 0;
	return [
		keyOfValue(cycle),
		[...open].sort().join("+"),
		order,
		sweep,
		bursts,
		context.motorWarm ? "warm" : "",
		name === "resting" && context.rested ? "rested" : "",
		`try ${primeTry}`,
		mustRest({ ...context, motorWarm: false }, rig, nowMs) ? "worn" : "fit",
		name === "polishing" && isWarmEarly(context, rig, nowMs) ? "early" : "",
		`resumed ${resumes}`,
		unproven ? "unproven" : "proven",
		isWaterAgain(context, nowMs) ? "water" : "",
		name === "held" ? causeClass(context.heldFor[0]) : "",
		cycle.delays.map(({ id }) => id.split(".")[2]).sort(),
		watch.permitted ? "permitted" : "",
		watch.hornMs >= rig.setpoints.hornMs ? "warned" : "",
	].join(" | ");
}

/** How often it has gone on by itself within the night: three is the most that counts. */
function resumesOf({ context }: CycleState, nowMs: number): number {
	const lately = context.resumedMs.filter((ms) => nowMs - ms < RESUMES_WITHIN_MS).length;
	return mayHoldAgain(context, nowMs) ? lately : 3;
}
