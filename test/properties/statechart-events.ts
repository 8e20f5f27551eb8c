// Everything that the statechart can be told, as a list: each type of event, each trip code, each
// thing that can stand against a start. What a present lets start is stated here by hand, so that
// the exploration does not ask the rules which it is to prove.

import type { CycleEvent, Present } from "../../firmware/cycle/events.ts";
import { holdCauses } from "../../firmware/cycle/holds.ts";
import type { Order } from "../../firmware/cycle/orders.ts";
import { type TripCode, tripCodes } from "../../firmware/cycle/trips.ts";
import { findingNames } from "../../firmware/sense/finding-names.ts";
import { plainOrder, wellPresent } from "../stories/well.ts";

export interface PresentCase {
	readonly name: string;
	readonly present: Present;
	/** Whether an order may be taken, and may start, with it. */
	readonly letsStart: { readonly attended: boolean; readonly unattended: boolean };
}

const ANYBODY = { attended: true, unattended: true };
const NOBODY = { attended: false, unattended: false };
const ATTENDED = { attended: true, unattended: false };

const presentCase = (
	name: string,
	change: Partial<Present>,
	letsStart: PresentCase["letsStart"],
): PresentCase => ({ name, present: { ...wellPresent, ...change }, letsStart });

export const presentCases: readonly PresentCase[] = [
	presentCase("all well", {}, ANYBODY),
	presentCase("all well, attended", { attended: true }, ANYBODY),
	presentCase("armed for this tank", { arming: { atMs: 0, tank: "port", toTank: null } }, ANYBODY),
	presentCase("stop pressed", { stop: "broken" }, NOBODY),
	presentCase("stop loop cut", { stop: "open" }, NOBODY),
	presentCase("probe wet", { probe: "wet" }, NOBODY),
	presentCase("probe unlike", { probe: "unlike" }, NOBODY),
	presentCase("meter unknown", { unknown: ["flow-pulse stale"] }, NOBODY),
	presentCase("board unknown", { unknown: ["board stale"], attended: true }, NOBODY),
	presentCase("log failed", { logFailed: true }, NOBODY),
	presentCase("a blocker, all seen", { blockers: ["the tray"], seen: [...findingNames] }, NOBODY),
	presentCase("held by cold", { holds: ["cold"] }, NOBODY),
	presentCase("held by all", { holds: [...holdCauses] }, NOBODY),
	presentCase("quiet hours", { quiet: ["quiet-hours"] }, ATTENDED),
	presentCase("not armed", { arming: null }, ATTENDED),
	presentCase(
		"armed for another tank",
		{ arming: { atMs: 0, tank: "day", toTank: null } },
		ATTENDED,
	),
	presentCase("not commissioned", { commissioned: false }, ATTENDED),
	presentCase("a gap in coverage", { gaps: ["the tray is not watched"] }, ATTENDED),
	presentCase("vacuum unknown", { unknownOptional: ["vacuum stale"] }, ATTENDED),
	presentCase(
		"vacuum unknown, attended",
		{ unknownOptional: ["vacuum"], attended: true },
		ATTENDED,
	),
];

const order: Order = { ...plainOrder, id: "walk" };
/** Two bursts without water in a row, and it is done. */
const sweep = { burstMl: 160, standSeconds: 20, dryBursts: 2 };

/** Who attends polishes, and nobody attends one polish and one sweep. */
const orders: ReadonlyArray<readonly [string, Partial<Order>]> = [
	["attended", { attended: true }],
	["unattended", {}],
	["sweep", { work: "sweep", goalLitres: null, sweep }],
	["swept first", { sweep: { ...sweep, dryBursts: 1 } }],
];

/** An event that waits for its time, and what its present lets start. */
export interface Happening {
	readonly name: string;
	readonly at: (atMs: number) => CycleEvent;
	readonly letsStart?: PresentCase["letsStart"] | undefined;
	/** Told while idle only: elsewhere others of its type are told, and none is looked into. */
	readonly whileIdle?: true;
}

/** Only this much before the moment an acknowledgement counts as given before the last trip. */
const PRESSED_LONG_AGO_MS = 1e12;

/** Orders with these presents are told in every state. */
const SAID_EVERYWHERE = ["all well", "not armed"];

const withPresent: readonly Happening[] = presentCases.flatMap(({ name, present, letsStart }) => [
	...orders.map(([kind, change]) => ({
		name: `order, ${kind}, ${name}`,
		letsStart,
		...(SAID_EVERYWHERE.includes(name) ? {} : { whileIdle: true as const }),
		at: (atMs: number): CycleEvent => ({
			type: "order",
			atMs,
			order: { ...order, ...change },
			present,
		}),
	})),
	{
		name: `start-durable, ${name}`,
		letsStart,
		at: (atMs: number): CycleEvent => ({ type: "start-durable", atMs, present }),
	},
	...(["box", "link"] as const).map((from) => ({
		name: `acknowledge at ${from}, ${name}`,
		letsStart,
		at: (atMs: number): CycleEvent => ({
			type: "acknowledge",
			id: "walk",
			atMs,
			from,
			pressedMs: atMs,
			present,
		}),
	})),
]);

/** One of each kind by where it is acknowledged and what comes after. */
const FOR_NOBODY: readonly TripCode[] = ["sensor-fault", "supply-low", "leak", "time-limit"];

const ofCodes: readonly Happening[] = [
	...tripCodes.flatMap((code) => [
		{ name: `alarm ${code}`, at: (atMs: number): CycleEvent => ({ type: "alarm", atMs, code }) },
		{
			name: `trouble ${code}`,
			at: (atMs: number): CycleEvent => ({ type: "trouble", atMs, code }),
		},
	]),
	...FOR_NOBODY.map((code) => ({
		name: `trouble ${code} for nobody`,
		at: (atMs: number): CycleEvent => ({ type: "trouble", atMs, code, unattendedOnly: true }),
	})),
];

const plain: readonly Happening[] = [
	{ name: "stop", at: (atMs) => ({ type: "stop", atMs, by: "walk" }) },
	{ name: "stray current", at: (atMs) => ({ type: "stray-current", atMs }) },
	{ name: "flow established", at: (atMs) => ({ type: "flow-established", atMs }) },
	{ name: "flow lost", at: (atMs) => ({ type: "flow-lost", atMs }) },
	{ name: "burst done", at: (atMs) => ({ type: "burst-done", atMs }) },
	{ name: "motor warm", at: (atMs) => ({ type: "motor-warm", atMs }) },
	{ name: "motor cooled", at: (atMs) => ({ type: "motor-cooled", atMs }) },
	{ name: "goal reached", at: (atMs) => ({ type: "goal-reached", atMs }) },
	{ name: "water gone", at: (atMs) => ({ type: "water-gone", atMs }) },
	{ name: "tick gap", at: (atMs) => ({ type: "tick-gap", atMs, ms: 20_000 }) },
	{ name: "permits lost", at: (atMs) => ({ type: "permits-lost", atMs, reasons: ["not armed"] }) },
	{ name: "holds: none", at: (atMs) => ({ type: "holds", atMs, causes: [] }) },
	{ name: "holds: all", at: (atMs) => ({ type: "holds", atMs, causes: [...holdCauses] }) },
	...holdCauses.map((cause) => ({
		name: `holds: ${cause}`,
		at: (atMs: number): CycleEvent => ({ type: "holds", atMs, causes: [cause] }),
	})),
	{
		name: "acknowledge given before the trip",
		letsStart: ANYBODY,
		at: (atMs) => ({
			type: "acknowledge",
			id: "walk",
			atMs,
			from: "box",
			pressedMs: atMs - PRESSED_LONG_AGO_MS,
			present: wellPresent,
		}),
	},
];

/** What a log can hand over at boot: one open trip, one with its drain seen, an open run. */
const recoveries: readonly Happening[] = [
	...tripCodes.map((code) => ({ code, drainSeen: false, interrupted: false })),
	{ code: "water-in-bowl" as const, drainSeen: true, interrupted: false },
	{ code: "water-in-bowl" as const, drainSeen: true, interrupted: true },
	{ code: "relay-stuck" as const, drainSeen: false, interrupted: true },
].map(({ code, drainSeen, interrupted }) => ({
	name: `recovered ${code}${interrupted ? " and an open run" : ""}`,
	whileIdle: true,
	at: (atMs: number): CycleEvent => ({
		type: "recovered",
		atMs,
		trips: [{ code, cause: "of an earlier boot", drainSeen }],
		interrupted,
	}),
}));

export const happenings: readonly Happening[] = [
	...withPresent,
	...ofCodes,
	...plain,
	...recoveries,
	{
		name: "recovered an open run",
		at: (atMs) => ({ type: "recovered", atMs, trips: [], interrupted: true }),
	},
];

const endsIn = (ends: readonly string[]) => (happening: Happening) =>
	ends.some((end) => happening.name.endsWith(end));

/** Two presents, three codes and all else: enough to find one that is spoilt, and quicker. */
export const fewHappenings: readonly Happening[] = [
	...withPresent.filter(endsIn([", all well", ", not armed"])),
	...ofCodes.filter(endsIn([" leak", " water-in-bowl", " dry-run"])),
	...plain,
];

/** What may fall into the instant at which a delay is due: what stops, holds or lets go on. */
export const urgentHappenings: readonly Happening[] = [
	...withPresent.filter(endsIn(["start-durable, all well", "start-durable, not armed"])),
	...ofCodes.filter(endsIn(["alarm leak", "trouble dry-run"])),
	...plain,
];
