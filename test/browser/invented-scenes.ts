// Scenes that a page may have to show, as the server would send them: the example rig, idle, at
// work, tripped, held, and with its controller away. All figures are invented.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { readRig } from "../../firmware/config/rig.ts";
import type { Senses, Status } from "../../firmware/link/protocol.ts";
import type { EventLine, Point, SceneNow, Series } from "../../host/web/scene.ts";
import { IDLE } from "../stories/idle-status.ts";
import { root } from "../stories/world.ts";

const FILE = "sim/bench/rigs/teal-willow.rig.yaml";
export const RIG = readRig(readFileSync(join(root, FILE), "utf8"), FILE);

const REST: NonNullable<Senses["sensed"]> = {
	flowLph: 0,
	vacuumKpa: 0.2,
	bowlTapKpa: "not-fitted",
	supplyVolts: 12.71,
	motorAmps: 0,
	fuelC: 11.4,
	caseC: 12.1,
	levelFrom: 0.62,
	levelTo: 0.62,
	probe: "dry",
	tray: "made",
	stop: "made",
	returnSeat: "made",
	tubeSeat: "made",
};
const PUMPING = { ...REST, flowLph: 90.7, vacuumKpa: 14.5, supplyVolts: 12.38, motorAmps: 1.74 };

const line = (
	seq: number,
	monoMs: number,
	what: string,
	why: string,
	isTrip = false,
): EventLine => ({
	seq,
	monoMs,
	utcMs: seq < 3 ? null : Date.UTC(2026, 10, 29, 10, 0, 0) + monoMs,
	what,
	why,
	isTrip,
});

const EVENTS: readonly EventLine[] = [
	line(1, 0, "Controller up, pump off.", "Boot 4."),
	line(2, 2_000, "Clock set: 29 Nov 2026 10:00:00.", ""),
	line(4, 724_000, "Order taken: polish port, 90 L.", "A person stays at the rig."),
	line(5, 725_000, "Start asked for: horn, proofs, prime.", "The order is safe in the log."),
	line(7, 748_000, "Primed: fuel at the meter.", "Try 1."),
];

const ORDER: NonNullable<Status["order"]> = {
	id: "o1",
	work: "polish",
	tank: "port",
	toTank: null,
	goalLitres: 90,
	goalHours: null,
	goalShare: null,
};

const idle: SceneNow = {
	source: "rig",
	rig: RIG,
	boot: 4,
	link: { isUp: true, heardAgoMs: 120, why: "" },
	status: IDLE,
	senses: { monoMs: IDLE.monoMs, commissioned: false, sensed: REST, blocked: [] },
	events: EVENTS.slice(0, 2),
	session: { may: "look", endsInMs: null },
};

const at = (status: Partial<Status>, senses: Partial<Senses> = {}): SceneNow => ({
	...idle,
	status: { ...IDLE, monoMs: 1_448_000, ...status },
	senses: { monoMs: 1_448_000, commissioned: false, sensed: REST, blocked: [], ...senses },
	events: EVENTS,
});

const polishing = at(
	{
		state: "polishing",
		pumpDemanded: true,
		order: ORDER,
		run: { motorMs: 700_000, pulses: 7_400 },
	},
	{ sensed: PUMPING },
);

const transferring = at(
	{
		state: "polishing",
		pumpDemanded: true,
		order: { ...ORDER, work: "transfer", toTank: "day", goalLitres: null, goalShare: 0.93 },
		run: { motorMs: 700_000, pulses: 7_400 },
	},
	{ sensed: { ...PUMPING, levelFrom: 0.41, levelTo: 0.7 } },
);

const water = at(
	{
		state: "tripped",
		order: ORDER,
		run: { motorMs: 700_000, pulses: 7_400 },
		trips: [{ code: "water-in-bowl", cause: "water reached the probe in the bowl" }],
	},
	{
		sensed: { ...REST, probe: "wet" },
		blocked: [{ code: "water-in-bowl", why: "the probe reads wet: drain the bowl" }],
	},
);

const full = at({
	state: "tripped",
	run: { motorMs: 700_000, pulses: 7_400 },
	trips: [
		{
			code: "destination-full",
			cause: "the tank that the return hangs in is full to its ullage line",
		},
	],
});

const held = at(
	{ state: "held", order: ORDER, heldFor: ["cold", "supply-recovering"], localTime: null },
	{ sensed: { ...REST, fuelC: 1.2, levelFrom: "open", levelTo: "stale" } },
);

const lost: SceneNow = {
	...polishing,
	link: { isUp: false, heardAgoMs: 134_000, why: "the socket /run/lees.sock has gone" },
};

const unheard: SceneNow = {
	...idle,
	rig: null,
	boot: null,
	link: { isUp: false, heardAgoMs: null, why: "nobody answers on /dev/ttyUSB0" },
	status: null,
	senses: null,
	events: [],
};

export const SCENES = {
	idle,
	polishing,
	transferring,
	water: {
		...water,
		events: [
			...EVENTS,
			line(
				9,
				1_440_000,
				"TRIP water-in-bowl. Pump off.",
				"Water reached the probe in the bowl.",
				true,
			),
		],
	},
	full,
	held,
	lost,
	unheard,
} as const satisfies Record<string, SceneNow>;

/** As it pumps, at another flow and vacuum. */
export const polishingAt = (flowLph: number): SceneNow => ({
	...polishing,
	senses: {
		monoMs: 1_449_000,
		commissioned: false,
		sensed: { ...PUMPING, flowLph, vacuumKpa: 17.9 },
		blocked: [],
	},
});

export const trippedBy = (code: string, cause: string): SceneNow =>
	at({ state: "tripped", order: ORDER, trips: [{ code, cause }] });

/** Ten minutes of pumping with a gap and a rise of the vacuum. */
export const SERIES: Series = { recent: points(600, 1_000), run: points(300, 4_000) };

function points(count: number, everyMs: number): Point[] {
	return Array.from({ length: count }, (_, i) => {
		const monoMs = 1_448_000 - (count - 1 - i) * everyMs;
		const isGap = i > count * 0.3 && i < count * 0.34;
		const isOn = i > count * 0.1;
		const wave = Math.sin(i / 9);
		return {
			monoMs,
			flowLph: isGap ? null : isOn ? 90 + 2 * wave : 0,
			vacuumKpa: isGap ? null : isOn ? 11 + (5 * i) / count + 0.3 * wave : 0.2,
			motorAmps: isGap ? null : isOn ? 1.7 + 0.03 * wave : 0,
			supplyVolts: 12.7 - (isOn ? 0.3 : 0) - (0.1 * i) / count,
		};
	});
}
