// A sensor that a person brings into one state after the other: each must be read steadily. Where
// two in a row read alike, only a press of the box's button says that the person has gone on. What
// it reads wet or broken trips as ever; the step goes on meanwhile. Pure.

import { probeFarOhm } from "../sense/bowl-probe.ts";
import { fresh, type Quantity } from "../sense/quantity.ts";
import type { Sensed } from "../sense/sensed.ts";
import { farEndOhm } from "../sense/supervised-loop.ts";
import { LOOK_MS, type Proceeding } from "./steps.ts";
import { judged, type Kind, type Scene, type Values } from "./trial.ts";

type Look = Extract<Proceeding, { kind: "look" }>;

export interface LookWork {
	readonly kind: "look";
	readonly place: number;
	/** The person is at this look: it needs no press, or has had it. */
	readonly isThere: boolean;
	/** Since when it reads as it should; null while it does not. */
	readonly sinceMs: number | null;
	/** Of the last reading that could be used. */
	readonly ohm: Quantity;
	readonly values: Values;
}

const begun: LookWork = {
	kind: "look",
	place: 0,
	isThere: true,
	sinceMs: null,
	ohm: "stale",
	values: {},
};

export const look: Kind<Look, LookWork> = {
	begin: () => begun,
	advance(goes, before, scene) {
		const { nowMs, sensed, pressed } = scene;
		const ohm = ohmNow(goes, before.ohm, scene);
		const work = ohm === before.ohm ? before : { ...before, ohm };
		const wanted = goes.looks[work.place];
		if (wanted === undefined) return { work };
		if (!work.isThere) {
			return pressed ? { work: { ...work, isThere: true }, isActive: true } : { work };
		}
		if (sensed[goes.at] !== wanted.reads) {
			return { work: work.sinceMs === null ? work : { ...work, sinceMs: null } };
		}
		if (work.sinceMs === null) return { work: { ...work, sinceMs: nowMs } };
		if (nowMs - work.sinceMs < LOOK_MS) return { work };
		const values = { ...work.values, [wanted.as]: evidenceOf(ohm, wanted.as) };
		const place = work.place + 1;
		const next = goes.looks[place];
		if (next === undefined) return { work, end: judged([], values) };
		const isThere = next.reads !== wanted.reads;
		return { work: { ...begun, place, isThere, ohm, values }, isActive: true };
	},
	asks: (_, { isThere }) => (isThere ? "act" : "press"),
	say: ({ looks }, { place, isThere }) => {
		const say = looks[place]?.say ?? "";
		return isThere ? say : `${say} Then press the box's button.`;
	},
	entries: () => [],
	isTried: () => true,
	seen: (goes, { place, ohm }, sensed: Sensed) => ({
		reads: sensed[goes.at],
		wanted: goes.looks[place]?.reads ?? "",
		ohm: evidenceOf(ohm, "Ohm"),
	}),
};

/** In the unit of its name's end; `none` where nothing conducts. */
function evidenceOf(ohm: Quantity, name: string): number | string {
	if (typeof ohm !== "number") return ohm;
	if (ohm >= NONE_OHM) return "none";
	return name.endsWith("Kohm") ? Number((ohm / 1000).toFixed(2)) : Math.round(ohm);
}

/** As in bowl-probe.ts: a report from before the drive changed says nothing. */
const SETTLE_MS = 60;

function ohmNow(goes: Look, before: Quantity, { plan, readings, probe, nowMs }: Scene): Quantity {
	const ohms = plan.ohms[goes.at];
	if (ohms === null) return before;
	const reading = readings[ohms.name];
	if (ohms.kind === "loop") return finite(farEndOhm(reading, ohms.loop, ohms.bits));
	const raw = fresh(reading);
	const isSettled =
		reading !== undefined && reading.ageMs <= nowMs - probe.phaseSinceMs - SETTLE_MS;
	if (typeof raw !== "number" || !isSettled) return before;
	return finite(probeFarOhm(raw, ohms.bridge, ohms.bits, probe.plus));
}

/** Whatever hardly conducts, Ω: JSON has no infinity. */
const NONE_OHM = 1e9;
const finite = (ohm: Quantity): Quantity =>
	typeof ohm === "number" ? Math.min(ohm, NONE_OHM) : ohm;
