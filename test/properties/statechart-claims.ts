// What must hold of every move that the statechart can make, seen from outside: by what is
// demanded, told and open before and after, and by what the crew was warned of. Not by its guards.

import { stateName } from "../../firmware/cycle/advance.ts";
import { isSweeping } from "../../firmware/cycle/context.ts";
import { trips } from "../../firmware/cycle/trips.ts";
import { isPumping, keyOfValue, type Move, rig, type Walk } from "./exploration.ts";

/** Says what of it a move breaks, or null. */
type Claim = (move: Move) => string | null;

const PUMPS_IN = ["priming.drawing", "polishing"];

const nameOf = ({ cycle }: Pick<Move["from"], "cycle">) => stateName(cycle.value);
const codesOf = ({ cycle }: Move["from"]) => cycle.context.trips.map(({ code }) => code);
const beginsToPump = ({ from, to }: Move) => !isPumping(from.cycle) && isPumping(to.cycle);

/** Whether what was present lets this order start, by the hand-written table. */
function letsStart({ from, event, letsStart: cases }: Move): boolean {
	const order = event?.type === "order" ? event.order : from.cycle.context.order;
	if (order === null || cases === undefined) return false;
	return order.attended ? cases.attended : cases.unattended;
}

/** Whether an acknowledgement clears all that is open, by the catalogue's columns. */
function isGoodAcknowledgement(move: Move): boolean {
	const { from, event } = move;
	if (event?.type !== "acknowledge" || codesOf(from).length === 0) return false;
	const { present, pressedMs } = event;
	const { order, trips: open } = from.cycle.context;
	const allGone = open.every(({ code, atMs, drainSeen }) => {
		const { acknowledgeAt, stillThere } = trips[code];
		const isHere = acknowledgeAt === "anywhere" || event.from === "box";
		return isHere && atMs <= pressedMs && stillThere(present, drainSeen) === null;
	});
	const goesOn = order !== null && open.every(({ code }) => trips[code].afterwards === "go on");
	// An order that may go on and must wait first is acknowledged, and waits.
	const waits = present.holds.length > 0 || (order?.attended === false && present.quiet.length > 0);
	return allGone && (!goesOn || waits || letsStart(move));
}

/** Whether nothing may pump after this event, in the state in which it comes. */
function isStop({ from, event }: Move): boolean {
	const { order } = from.cycle.context;
	const name = nameOf(from);
	switch (event?.type) {
		case "stop":
		case "alarm":
		case "stray-current":
		case "permits-lost":
		case "goal-reached":
			return true;
		case "trouble":
			return !(event.unattendedOnly === true && order?.attended === true);
		case "holds":
			return event.causes.length > 0;
		case "tick-gap":
			return name === "priming" || name === "polishing";
		case "flow-lost":
			return name === "polishing";
		case "burst-done":
			return isPumping(from.cycle) && isSweeping(from.cycle.context);
		case "motor-warm":
			return name === "priming" || name === "polishing";
		default:
			return false;
	}
}

export const claims = {
	"the pump is demanded while drawing and polishing only": ({ to }) =>
		isPumping(to.cycle) && !PUMPS_IN.includes(keyOfValue(to.cycle)) ? "the pump runs" : null,

	"a contact is closed in a start or a run only": ({ to: { cycle } }) => {
		const { k1, beat } = cycle.demand;
		const mayClose = ["priming", "polishing"].includes(stateName(cycle.value));
		return (k1 || beat) && !mayClose ? "a contact is closed" : null;
	},

	"an order is taken if, and only if, what is present lets it start": (move) => {
		const { from, to, event } = move;
		if (nameOf(from) !== "idle") return null;
		const isTaken = !["idle", "tripped"].includes(nameOf(to));
		const mayBe = event?.type === "order" && letsStart(move);
		return isTaken === mayBe ? null : isTaken ? "an order was taken" : "an order was refused";
	},

	"each start asks what is present, and goes by it": (move) => {
		const { from, to } = move;
		if (beginsToPump(move) && !from.watch.permitted) return "nobody permitted it";
		const begins =
			keyOfValue(from.cycle) === "priming.recording" && nameOf(to) === "priming" && to !== from;
		const isAnnounced = begins && keyOfValue(to.cycle) !== "priming.recording";
		return isAnnounced && !letsStart(move) ? "a start was announced" : null;
	},

	"the horn warns for its time before the pump is demanded": (move) => {
		const { from, to } = move;
		const last = from.cycle.demand.horn ? to.nowMs - from.nowMs : 0;
		const isWarned = from.watch.hornMs + last >= rig.setpoints.hornMs;
		return beginsToPump(move) && !isWarned ? "nobody was warned" : null;
	},

	"a trip is left by an acknowledgement that clears it, and by nothing else": (move) => {
		const { from, to } = move;
		if (codesOf(from).length === 0) return null;
		const isLeft = nameOf(to) !== "tripped";
		const mayBe = isGoodAcknowledgement(move);
		return isLeft === mayBe ? null : isLeft ? "a trip was left" : "a trip was not left";
	},

	"what stops it stops it in the same step": (move) => {
		const { k1, beat } = move.to.cycle.demand;
		return isStop(move) && (k1 || beat) ? "a contact stays closed" : null;
	},

	"an open trip stays open until it is acknowledged": (move) => {
		const after = codesOf(move.to);
		const lost = codesOf(move.from).filter((code) => !after.includes(code));
		return lost.length > 0 && !isGoodAcknowledgement(move) ? `${lost} is gone` : null;
	},

	"a trip is told as it opens, and once": ({ from, to, event, told }) => {
		const before = codesOf(from);
		const known = event?.type === "recovered" ? event.trips.map(({ code }) => code) : [];
		const opened = codesOf(to).filter((code) => !before.includes(code) && !known.includes(code));
		const heard = told.flatMap(({ effect }) => (effect.type === "trip" ? [effect.code] : []));
		const isSame = opened.length === heard.length && opened.every((code) => heard.includes(code));
		return isSame ? null : `told ${heard}, opened ${opened}`;
	},

	"an order that is open is at work, or a trip will let it go on": ({ to }) => {
		const { order, trips: open } = to.cycle.context;
		const name = nameOf(to);
		if (order === null) return name === "idle" || name === "tripped" ? null : "no order is open";
		const goesOn = open.every(({ code }) => trips[code].afterwards === "go on");
		return name !== "idle" && goesOn ? null : "an order is left over";
	},

	"a burst counts when the bowl has stood, and fuel was moved": (move) => {
		const { from, to, event, what } = move;
		const before = from.cycle.context;
		const more = to.cycle.context.dryBursts - before.dryBursts;
		if (more <= 0) return null;
		const isDue = event === null || what.endsWith("at a delay");
		const hasStood = nameOf(from) === "standing" && isDue;
		return hasStood && more === 1 && before.burstProven ? null : "a burst was counted";
	},

	"a sweep is finished by its last dry burst, and by nothing else": ({ from, to, told, event }) => {
		const { order, dryBursts, burstProven } = from.cycle.context;
		const wanted = order?.work === "sweep" ? (order.sweep?.dryBursts ?? 0) : null;
		const isFinished = told.some(
			({ effect }) => effect.type === "run-end" && effect.outcome === "finished",
		);
		// It has no other goal that could be reached.
		if (wanted === null || event?.type === "goal-reached") return null;
		const isLast = nameOf(from) === "standing" && burstProven && dryBursts + 1 >= wanted;
		const isLeft = nameOf(from) === "standing" && nameOf(to) === "priming";
		if (isFinished && !isLast && wanted > 0) return "it ended too soon";
		return isLeft && isLast ? "it goes on" : null;
	},

	"what rests, stands or is held will go on by itself": ({ to: { cycle } }) => {
		const waits = { resting: "rest", standing: "stand", held: "holdTime" };
		const name = nameOf({ cycle });
		if (name !== "resting" && name !== "standing" && name !== "held") return null;
		const isDue = cycle.delays.some(({ id }) => id.split(".")[2] === waits[name]);
		// A warm motor is waited for when the clock's rest is over.
		const isWarm = name === "resting" && cycle.context.motorWarm;
		return isDue || isWarm ? null : `${name} for ever`;
	},

	"without fuel it tries to prime so often and not more": ({ to }) =>
		to.cycle.context.primeTry > rig.setpoints.primeTriesMax ? "it tried again" : null,
} as const satisfies Record<string, Claim>;

export type ClaimName = keyof typeof claims;

/** All of them at once, the first that is broken named. */
export function breaks(move: Move): string | null {
	for (const [name, claim] of Object.entries(claims)) {
		const broken = claim(move);
		if (broken !== null) return `${name}: ${broken}`;
	}
	return null;
}

/** Places from which no way leads back to idle. */
export function stranded({ places, leadsTo }: Walk): string[] {
	const cameFrom = new Map<string, string[]>();
	for (const [from, all] of leadsTo) {
		for (const to of all) cameFrom.set(to, [...(cameFrom.get(to) ?? []), from]);
	}
	const queue = [...places].flatMap(([key, { cycle }]) => (cycle.value === "idle" ? [key] : []));
	const leadsBack = new Set(queue);
	for (let i = 0; i < queue.length; i += 1) {
		for (const key of cameFrom.get(queue[i] ?? "") ?? []) {
			if (leadsBack.has(key)) continue;
			leadsBack.add(key);
			queue.push(key);
		}
	}
	return [...places.keys()].filter((key) => !leadsBack.has(key));
}
